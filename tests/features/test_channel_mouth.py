"""The opening of a channel at the platform."""

import numpy as np
import pytest
from scipy import ndimage

from features.channel_mouth import dip_between_walls, read_mouth
from tests.features.bodies_on_film import read
from tests.features.channel_strips import ABOVE_PX, bored_body
from tests.features.drawn_bodies import MM_PER_PX, film, knots

BODY_PX = 130.0


def read_strip(half_px):
    strip = bored_body(half_px)
    found = read_mouth(
        strip, top_px=0.0, end_px=float(strip.z_px[-1]), body_px=BODY_PX, contrast=0.5
    )
    return found.width_px, found.cone_deg


def test_walls_are_found_where_the_shadow_is_brightest():
    strip = bored_body(np.full(60, 40.0))
    t, dip = dip_between_walls(strip, slice(20, 40), BODY_PX)
    seen = t[dip.max(axis=0) > 0]
    assert (seen.min(), seen.max()) == pytest.approx((-40, 40), abs=2)


def test_a_gap_almost_as_wide_as_the_body_is_measured():
    mouth, _ = read_strip(np.full(120, 0.46 * BODY_PX))
    assert mouth.value == pytest.approx(0.92 * BODY_PX, abs=4)


@pytest.mark.parametrize("slope", [0.0, 0.1, 0.25])
def test_the_cone_is_the_slope_of_the_wall(slope):
    rows = np.arange(120.0) - ABOVE_PX
    mouth, cone = read_strip(50 - slope * np.maximum(rows, 0))
    assert mouth.value == pytest.approx(100, abs=3)
    assert cone.value == pytest.approx(np.degrees(np.arctan(slope)), abs=1.0)


def test_the_longer_the_wall_the_surer_its_cone():
    rows = np.arange(120.0) - ABOVE_PX
    short, long = (read_strip(np.where(rows < end, 50.0 - 0.1 * rows, 30.0))[1] for end in (25, 50))
    assert long.std < 0.8 * short.std


def test_a_wall_too_short_for_a_slope_says_so():
    rows = np.arange(120.0) - ABOVE_PX
    mouth, cone = read_strip(np.where(rows < 4, 50.0, 45.0))
    assert mouth
    assert "straight" in cone.reason


def test_a_filled_mouth_is_not_measured():
    rows = np.arange(120) - ABOVE_PX
    mouth, cone = read_strip(np.where(rows < 40, 0.0, 30.0))
    assert "seated" in mouth.reason
    assert "seated" in cone.reason


def test_too_few_rows_are_unclear():
    strip = bored_body(np.full(120, 30.0))
    found = read_mouth(strip, top_px=0.0, end_px=5.0, body_px=BODY_PX, contrast=0.5)
    assert "not clear" in found.width_px.reason


def test_the_rim_of_a_wide_gap_is_no_ragged_wall():
    rows = np.arange(120.0) - ABOVE_PX
    mouth, cone = read_strip(np.where(rows < 2, 60.0, np.where(rows < 5, 45.0, 20.0)))
    assert "not clear" in mouth.reason
    assert not cone


@pytest.mark.parametrize("drop_px", [4.0, 8.0])
def test_the_interval_of_a_short_lead_in_holds_its_half_angle(drop_px):
    rows = np.arange(120.0) - ABOVE_PX
    mouth, cone = read_strip(np.maximum(50 - rows.clip(0), 50 - drop_px))
    assert mouth.value == pytest.approx(100, abs=4)
    assert cone.value > 20
    assert cone.interval[0] < 45 < cone.interval[1]


def test_the_mouth_of_a_flared_platform_is_as_wide_as_drawn():
    flared = knots((0.0, 2.4), (1.0, 2.4), (2.5, 1.75), (10.0, 1.75))
    channel = knots((0.0, 1.75), (2.5, 1.4), (2.51, 0.9), (6.0, 0.9))
    found = read(film(flared, channel=channel)).measures
    # The map of gaps, which fills nothing wider than 0.86 of the body, read 0.5 mm less.
    assert found["bore_mouth"].value * MM_PER_PX == pytest.approx(3.5, abs=0.12)
    assert found["bore_cone_deg"].value == pytest.approx(8.0, abs=1.5)


def test_blur_moves_the_mouth_less_than_it_is_wide():
    strip = bored_body(np.full(120, 40.0))
    blurred = ndimage.gaussian_filter(strip.pixels, 2.0)
    strip.pixels[:] = blurred
    found = read_mouth(strip, top_px=0.0, end_px=100.0, body_px=BODY_PX, contrast=0.5)
    mouth = found.width_px
    assert mouth.interval[0] < 80 < mouth.interval[1]
