"""The opening of a channel at the platform."""

import numpy as np
import pytest
from scipy import ndimage

from features.channel_mouth import (
    SHORTEST_ROWS,
    dip_between_walls,
    half_widths,
    read_mouth,
    straight_wall,
)
from tests.features.bodies_on_film import read
from tests.features.channel_strips import ABOVE_PX, bored_body, columns, round_dip
from tests.features.drawn_bodies import MM_PER_PX, film, knots

BODY_PX = 130.0
Z = np.arange(2.0, 60.0)


def read_strip(half_px):
    strip = bored_body(half_px)
    return read_mouth(
        strip, top_px=0.0, end_px=float(strip.z_px[-1]), body_px=BODY_PX, contrast=0.5
    )


@pytest.mark.parametrize("half_px", [12.0, 25.3, 41.7])
def test_the_half_width_of_a_round_gap_is_its_radius(half_px):
    found = half_widths(columns(), round_dip(np.full(5, half_px)))
    assert found == pytest.approx(half_px, abs=0.5)  # samples are a pixel apart


def test_grain_beside_a_gap_does_not_widen_it():
    dip = round_dip(np.full(5, 30.0))
    dip[:, np.abs(np.abs(columns()) - 60) < 2] = 0.5
    assert half_widths(columns(), dip) == pytest.approx(30.0, abs=0.3)


def test_walls_are_found_where_the_shadow_is_brightest():
    strip = bored_body(np.full(60, 40.0))
    t, dip = dip_between_walls(strip, slice(20, 40), BODY_PX)
    seen = t[dip.max(axis=0) > 0]
    assert (seen.min(), seen.max()) == pytest.approx((-40, 40), abs=2)


def test_a_gap_almost_as_wide_as_the_body_is_measured():
    mouth, _ = read_strip(np.full(120, 0.46 * BODY_PX))
    assert mouth.value == pytest.approx(0.92 * BODY_PX, abs=4)


def test_a_straight_wall_ends_where_it_steps():
    wall = straight_wall(Z, np.where(Z < 30, 40 - 0.2 * Z, 25.0))
    assert wall.at_platform_px == pytest.approx(40.0, abs=0.5)
    assert wall.slope == pytest.approx(-0.2, abs=0.03)
    assert wall.tall_px == pytest.approx(28, abs=3)


def test_a_bevel_is_not_averaged_into_the_parallel_wall_below_it():
    wall = straight_wall(Z, np.maximum(45 - Z, 33.0))
    assert wall.tall_px < 20
    assert wall.slope < -0.6


def test_a_wall_that_runs_straight_is_followed_to_its_end():
    assert straight_wall(Z, np.full(len(Z), 30.0)).tall_px == Z[-1] - Z[0]


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
    mouth, cone = read_strip(np.where(rows < SHORTEST_ROWS - 1, 50.0, 25.0))
    assert mouth
    assert "straight" in cone.reason


def test_a_filled_mouth_is_not_measured():
    rows = np.arange(120) - ABOVE_PX
    mouth, cone = read_strip(np.where(rows < 40, 0.0, 30.0))
    assert "seated" in mouth.reason
    assert "seated" in cone.reason


def test_too_few_rows_are_unclear():
    strip = bored_body(np.full(120, 30.0))
    mouth, _ = read_mouth(strip, top_px=0.0, end_px=5.0, body_px=BODY_PX, contrast=0.5)
    assert "not clear" in mouth.reason


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
    mouth, _ = read_mouth(strip, top_px=0.0, end_px=100.0, body_px=BODY_PX, contrast=0.5)
    assert mouth.interval[0] < 80 < mouth.interval[1]
