"""A copy of everything, as a folder or one zip, opens as the casebook it was made of."""

from __future__ import annotations

import io
import zipfile

from identify.backup import COPY, back_up_zip
from identify.casebook import Casebook
from tests.identify.kept_cases import started


def test_the_zip_unpacked_is_the_casebook_with_its_films(tmp_path):
    book = Casebook(tmp_path / "book")
    kept = started(book)
    with zipfile.ZipFile(io.BytesIO(back_up_zip(book))) as copy:
        copy.extractall(tmp_path / "unpacked")
    again = Casebook(tmp_path / "unpacked" / COPY)
    assert again.find() == book.find()
    assert again.films.raw(kept.case.films[0].film) == book.films.raw(kept.case.films[0].film)
