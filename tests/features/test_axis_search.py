import itertools
import math

import numpy as np
import pytest

from features.axis_search import find_bands, reduced
from tests.features.bodies_on_film import moved, smooth, threaded


def true_direction(truth):
    (x1, y1), (x2, y2) = truth["platform"]
    x, y = truth["apex"]
    return math.degrees(math.atan2(y - (y1 + y2) / 2, x - (x1 + x2) / 2))


def middle(truth):
    (x1, y1), (x2, y2) = truth["platform"]
    x, y = truth["apex"]
    return ((x1 + x2) / 2 + x) / 2, ((y1 + y2) / 2 + y) / 2


def widened(film, by=120):
    """The same body with as much round it as on a whole film."""
    pixels, _ = film
    return moved(film, np.pad(pixels, by, mode="edge"), lambda x, y: (x + by, y + by))


@pytest.mark.parametrize("draw", [smooth, threaded])
def test_the_clearest_band_runs_along_the_body_and_is_as_wide(draw):
    pixels, truth = widened(draw())
    band = find_bands(reduced(pixels.astype(np.float32)), middle(truth))[0]
    turned = math.degrees(band.axis.angle_rad) - true_direction(truth)
    assert abs((turned + 90) % 180 - 90) <= 5  # directions are tried in steps of 5°
    width = math.dist(*truth["platform"])
    assert 2 * band.half_px == pytest.approx(width, rel=0.15)


def test_the_bands_are_clearly_apart_and_the_clearest_comes_first():
    pixels, truth = threaded()
    bands = find_bands(reduced(pixels.astype(np.float32)), middle(truth))
    agreements = [band.agreement for band in bands]
    assert agreements == sorted(agreements, reverse=True)
    for one, other in itertools.pairwise(bands):
        turned = math.degrees(one.axis.angle_rad - other.axis.angle_rad)
        assert abs((turned + 90) % 180 - 90) > 15


def test_an_even_film_has_no_bands():
    assert find_bands(reduced(np.full((300, 300), 0.4, dtype=np.float32)), (150, 150)) == []


def test_brightness_and_contrast_change_no_vote():
    pixels, _ = threaded()
    film = pixels.astype(np.float32)
    plain, pale = reduced(film), reduced(np.float32(0.3) + np.float32(0.25) * film)
    for one, other in zip(plain.votes, pale.votes, strict=True):
        np.testing.assert_allclose(one, other, atol=1e-3)


def test_a_place_and_its_way_back_agree():
    film = reduced(np.zeros((1000, 750), dtype=np.float32))
    assert film.factor == 4
    assert film.on_film(film.place((123.0, 45.0))) == pytest.approx((123.0, 45.0))
    assert film.place((1.5, 1.5)) == (0.0, 0.0)  # the middle of the first block of four
