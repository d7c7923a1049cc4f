"""A look: small, quick, of the view asked for."""

import time

import numpy as np
import pytest

from sample_images.fixture import draw_fixture
from sample_images.look import Aim, look
from sample_images.recipe import load_recipe

SMALL = (200, 150)


def test_a_look_is_a_matter_of_about_a_second():
    # 0.6-0.9 s of an idle core (tests/benchmarks/speed.py); cores shared with other work need more
    # than twice that, so this only catches a look that has become a film.
    look("tri_channel", aim=Aim(shape=(100, 75)))  # tables are read once
    seconds = []
    for _ in range(2):
        start = time.process_time()
        picture = look("external_hex_parallel", seated="metal-ceramic crown")
        seconds.append(time.process_time() - start)
    assert min(seconds) < 2.5
    assert picture.pixels.shape == (400, 300)
    assert picture.pixels.dtype == np.uint8


def test_the_implant_is_bright_where_the_points_say():
    picture = look("pressfit_cylinder_plain_bore", aim=Aim(shape=SMALL, turn_deg=8))
    (left, right), apex = picture.points_px["platform"], picture.points_px["apex"]
    middle = np.add(left, right) / 2
    # below the bore, on the axis, there is nothing but metal
    x, y = np.round(middle + 0.93 * np.subtract(apex, middle)).astype(int)
    assert picture.pixels[y, x] > 180
    assert picture.pixels[5, 5] < 90
    assert apex[0] < middle[0]  # a positive turn moves the apex to the left


def test_one_seed_is_one_look_and_a_given_fixture_is_shown():
    one, two = (look("tri_channel", aim=Aim(shape=SMALL), seed=5) for _ in range(2))
    np.testing.assert_array_equal(one.pixels, two.pixels)
    fixture = draw_fixture(load_recipe("tri_channel"), np.random.default_rng(8))
    shown = look("tri_channel", fixture=fixture, aim=Aim(shape=SMALL, mm_per_px=0.1))
    (left, right), apex = shown.points_px["platform"], shown.points_px["apex"]
    assert np.hypot(*np.subtract(left, right)) * 0.1 == pytest.approx(
        2 * fixture.platform_radius_mm
    )
    middle = np.add(left, right) / 2
    assert np.hypot(*np.subtract(apex, middle)) * shown.mm_per_px == pytest.approx(
        fixture.length_mm
    )


@pytest.mark.parametrize("key", ["blade_plate", "mini_one_piece", "stranger-bulb"])
def test_wide_thin_and_strange_bodies_fit_the_picture(key):
    picture = look(key, aim=Aim(shape=SMALL))
    for x, y in (*picture.points_px["platform"], picture.points_px["apex"]):
        assert 0 <= x < SMALL[1]
        assert 0 <= y < SMALL[0]


def test_tones_differ_and_an_unknown_one_is_refused():
    log, linear = (
        look("tri_channel", aim=Aim(shape=SMALL, tone=tone)) for tone in ("log", "linear")
    )
    assert log.pixels.mean() != linear.pixels.mean()
    with pytest.raises(ValueError, match="'tone' must be one of"):
        Aim(tone="sepia")
