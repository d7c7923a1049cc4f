"""How the wall of a channel's mouth runs."""

import numpy as np
import pytest
from scipy import ndimage

from features.mouth_wall import follow_wall, half_widths, straight_wall
from tests.features.channel_strips import columns, round_dip

BODY_PX = 130.0
Z = np.arange(2.0, 60.0)


def followed(half_px, *, grain=0.0, above=1):
    """The wall of a round gap given row by row from `above` px above the platform."""
    rng = np.random.default_rng(5)
    dip = ndimage.gaussian_filter(round_dip(half_px), 1.0)
    dip = dip + grain * ndimage.gaussian_filter(rng.standard_normal(dip.shape), 1.0)
    return follow_wall(np.arange(len(dip)) - float(above), columns(), dip, BODY_PX)


@pytest.mark.parametrize("half_px", [12.0, 25.3, 41.7])
def test_the_half_width_of_a_round_gap_is_its_radius(half_px):
    found = half_widths(columns(), round_dip(np.full(5, half_px)))
    assert found == pytest.approx(half_px, abs=0.5)  # samples are a pixel apart


def test_grain_beside_a_gap_does_not_widen_it():
    dip = round_dip(np.full(5, 30.0))
    dip[:, np.abs(np.abs(columns()) - 60) < 2] = 0.5
    assert half_widths(columns(), dip) == pytest.approx(30.0, abs=0.3)


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


def test_a_short_lead_in_above_a_long_wall_is_the_mouth():
    # 5 px of 120: the line through both scatters less than grain would.
    rows = np.arange(60.0) - 1.0
    wall = followed(np.maximum(45 - rows, 40.0))
    assert wall.slope < -0.4  # the blur takes the rest
    assert wall.tall_px < 12


@pytest.mark.parametrize("cone_deg", [9.0, 12.0, 16.0])
def test_a_cone_that_ends_above_a_plain_wall_keeps_its_own_slope(cone_deg):
    # one line through both scatters no more than grain would, and is a third too flat
    rows = np.arange(70.0) - 1.0
    slope = np.tan(np.radians(cone_deg))
    wall = followed(np.maximum(45 - slope * rows, 45 - slope * 15))
    assert np.degrees(np.arctan(-wall.slope)) == pytest.approx(cone_deg, abs=2.0)


def test_a_wall_that_only_bends_a_little_is_followed_as_one():
    rows = np.arange(60.0) - 1.0
    wall = followed(np.maximum(40.4 - 0.1 * rows, 40.0))
    assert wall.tall_px > 20
    assert wall.slope == pytest.approx(0.0, abs=0.03)


def test_grain_is_no_lead_in():
    wall = followed(np.full(60, 40.0), grain=0.05)
    assert wall.slope == pytest.approx(0.0, abs=0.05)
    assert wall.at_platform_px == pytest.approx(40.0, abs=2.0)


def test_the_arc_of_a_tilted_rim_is_not_the_wall():
    rows = np.arange(60.0) - 1.0
    half = np.where(rows < 4, 30 + 2.5 * (rows + 1), 42.5 - 0.2 * (rows - 4))
    wall = followed(half)
    assert wall.slope == pytest.approx(-0.2, abs=0.03)


def test_the_roots_of_a_tap_bound_the_mouth():
    rows = np.arange(60.0)
    wall = followed(40 - 2 * np.abs((rows / 4) % 2 - 1))
    assert wall.at_platform_px == pytest.approx(40.0, abs=0.7)
    assert wall.slope == pytest.approx(0.0, abs=0.03)


def test_a_wall_that_runs_on_up_through_a_hexagon_is_followed_from_its_top():
    rows = np.arange(80.0) - 30.0
    half = np.where(rows < 7, 40 - 0.12 * rows, 30.0)
    raised, level = (followed(half[rows >= -above], above=above) for above in (25, 1))
    assert raised.slope == pytest.approx(-0.12, abs=0.015)
    assert raised.at_platform_px == pytest.approx(40.0, abs=0.5)
    assert raised.tall_px > 2 * level.tall_px


@pytest.mark.parametrize("wide_px", [0.0, 50.0])
def test_what_lies_above_a_step_is_not_the_mouth(wide_px):
    # nothing, or the slots between tines
    rows = np.arange(80.0) - 30.0
    wall = followed(np.where(rows < -3, wide_px, 40 - 0.1 * rows), above=30)
    assert wall.slope == pytest.approx(-0.1, abs=0.03)
    assert wall.at_platform_px == pytest.approx(40.0, abs=1.0)
