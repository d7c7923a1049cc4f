from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from features.input_file import BadInput
from identify.photo import LONGEST_PX, clean_photo

ORIENTATION, ARTIST = 0x0112, 0x013B  # Exif 2.32


def photograph(size=(60, 40), **kind) -> bytes:
    exif = Image.Exif()
    exif[ARTIST] = "Musterfrau"
    exif[ORIENTATION] = 6  # to be turned by a quarter
    store = io.BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(store, "JPEG", exif=exif, comment=b"Musterfrau")
    return store.getvalue()


def test_a_photograph_is_turned_upright_and_says_nothing_else():
    cleaned = clean_photo(photograph(), "p.jpg")
    with Image.open(io.BytesIO(cleaned)) as picture:
        assert picture.size == (40, 60)
        assert not picture.getexif()
        assert np.allclose(np.asarray(picture)[5, 5], (200, 30, 30), atol=6)
    assert b"Musterfrau" not in cleaned


def test_a_large_one_is_made_smaller():
    with Image.open(io.BytesIO(clean_photo(photograph((3000, 1500)), "p.jpg"))) as picture:
        assert max(picture.size) == LONGEST_PX


@pytest.mark.parametrize("raw", [b"", b"hello", photograph()[:200]])
def test_what_is_no_photograph_is_one_sentence(raw):
    with pytest.raises(BadInput, match="no photograph, or a damaged one"):
        clean_photo(raw, "p.jpg")
