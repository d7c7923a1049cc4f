"""Writing in a corner is noticed; films without any are left in peace."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from features.burned_in import writing_in_corners
from features.film import read_film_file

DEMO = sorted((Path(__file__).resolve().parents[2] / "sample_images" / "demo").glob("*.png"))


def film(seed: int = 1):
    return read_film_file(DEMO[seed % len(DEMO)]).pixels


def written(pixels, words, where, size, ink=1.0):
    """The film with a legend, as a viewer burns it in."""
    picture = (
        Image.fromarray(pixels, "F") if pixels.dtype != np.float32 else Image.fromarray(pixels)
    )
    ImageDraw.Draw(picture).text(where, words, fill=ink, font=ImageFont.load_default(size))
    return np.asarray(picture)


@pytest.mark.parametrize("size", [14, 22, 40])
@pytest.mark.parametrize("ink", [1.0, 0.0])
@pytest.mark.parametrize("corner", ["upper left", "lower right"])
def test_a_name_in_a_corner_is_noticed(corner, ink, size):
    pixels = film()
    height, width = pixels.shape
    at = (12, 8) if corner == "upper left" else (width - 0.37 * width, height - 1.5 * size - 8)
    ground = pixels.copy()
    rows, columns = (slice(0, 99), slice(0, 400)) if corner == "upper left" else (
        slice(height - 99, None), slice(int(0.6 * width), None))  # fmt: skip
    ground[rows, columns] = 0.3 * ground[rows, columns] + 0.35  # black and white ink both legible
    assert writing_in_corners(written(ground, "MUSTERFRAU", at, size, ink))
    assert not writing_in_corners(ground)


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_demo_films_carry_no_writing(path):
    assert not writing_in_corners(read_film_file(path).pixels)


def test_a_side_marker_alone_is_no_name():
    assert not writing_in_corners(written(film() * 0.6, "R", (12, 8), 40))


def test_an_even_film_carries_no_writing():
    assert not writing_in_corners(np.full((300, 400), 0.5, np.float32))
