"""A copy of everything: the database and every film, in a folder that opens as a casebook."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from features.input_file import BadInput
from identify.casebook import Casebook
from identify.database import FILE
from identify.film_store import FOLDER

COPY = "radiofixture-backup"


def back_up(place: Path, book: Casebook | None = None) -> int:
    """Copy the casebook into an empty folder, and return how many cases it holds.

    Raises
    ------
    BadInput
        The folder holds something already, or cannot be written.
    """
    book = book or Casebook()
    try:
        place.mkdir(parents=True, exist_ok=True)
        if any(place.iterdir()):
            raise BadInput(f"{place}: is not empty; name a new folder for the backup.")
        book.back_up(place / FILE)
        if book.films.folder.is_dir():
            shutil.copytree(book.films.folder, place / FOLDER)
    except OSError as error:
        raise BadInput(
            f"{place}: cannot be written ({error.strerror}); name another folder."
        ) from None
    return len(Casebook(place).find())


def back_up_zip(book: Casebook | None = None) -> bytes:
    """Return the same copy as one zip; unpacked, its folder opens as a casebook.

    Raises
    ------
    BadInput
        The casebook cannot be read, or there is no room for a copy.
    """
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / COPY
        back_up(copy, book)
        try:
            return Path(shutil.make_archive(str(copy), "zip", folder, COPY)).read_bytes()
        except OSError as error:
            raise BadInput(f"No copy could be made ({error.strerror}); free some space.") from None
