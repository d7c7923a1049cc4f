"""Where a channel's parallel part ends."""

import numpy as np
import pytest
from scipy import ndimage

from features.channel_end import CONE, channel_alone, floor_at, parallel_end, pierced_from
from tests.features.channel_strips import ABOVE_PX, empty_strip

ROWS, WIDE_PX = 300, 60.0
Z = np.arange(ROWS) - float(ABOVE_PX)
SEEN = (0.0, 280.0)


def blurred(dips, px=1.5):
    return ndimage.gaussian_filter1d(np.asarray(dips, float), px)


def flat(end_px):
    return blurred(np.where((Z >= 0) & (end_px > Z), 0.3, 0.0))


def drilled(end_px):
    """The dip along the axis of a cone falls as its width does."""
    cone = 1 - np.clip((Z - end_px) / (CONE * WIDE_PX), 0, 1)
    return blurred(np.where(Z >= 0, 0.3 * cone, 0.0))


def ends(dips, last_px):
    strip = empty_strip(ROWS)
    end = parallel_end(strip, dips, (0.0, last_px), WIDE_PX)
    return floor_at(strip, dips, end, WIDE_PX)


@pytest.mark.parametrize("end_px", [90.0, 150.0])
def test_a_drilled_channel_ends_above_its_cone(end_px):
    assert ends(drilled(end_px), end_px + 0.9 * CONE * WIDE_PX) == pytest.approx(end_px, abs=2)


@pytest.mark.parametrize("end_px", [90.0, 150.0])
def test_a_well_ends_on_its_floor(end_px):
    assert ends(flat(end_px), end_px + 2) == pytest.approx(end_px, abs=2)


def test_a_fainter_part_far_below_belongs_to_the_channel():
    dips = blurred(np.where(Z < 80, 0.4, np.where(Z < 200, 0.12, 0.0)))
    assert parallel_end(empty_strip(ROWS), dips, (0.0, 203.0), WIDE_PX) == pytest.approx(200, abs=3)


def test_grain_far_below_does_not():
    dips = blurred(np.where(Z < 200, 0.4, np.where(Z < 250, 0.03, 0.0)))
    assert parallel_end(empty_strip(ROWS), dips, (0.0, 253.0), WIDE_PX) == pytest.approx(200, abs=3)


def alone(dips, wide):
    rows = slice(ABOVE_PX, ABOVE_PX + 281)
    return channel_alone(empty_strip(ROWS), SEEN, dips[rows], np.asarray(wide, float)[rows], 130.0)[
        1
    ]


def test_a_channel_by_itself_is_kept_whole():
    assert alone(np.full(ROWS, 0.2), np.full(ROWS, 60)) == SEEN[1]
    assert alone(np.where(Z < 100, 0.4, 0.1), np.where(Z < 100, 90, 60)) == SEEN[1]


def test_what_is_wider_and_fainter_below_is_left_out():
    last = alone(np.where(Z < 150, 0.3, 0.05), np.where(Z < 150, 60, 110))
    assert last == pytest.approx(150, abs=5)


def test_grain_that_goes_on_below_the_cone_is_left_out():
    last = alone(drilled(180) + np.where(Z > 180, 0.01, 0.0), np.full(ROWS, WIDE_PX))
    assert last == pytest.approx(180 + CONE * WIDE_PX, abs=8)


def test_a_faint_tap_below_an_index_is_kept():
    assert alone(np.where(Z < 100, 0.3, 0.05), np.full(ROWS, WIDE_PX)) == SEEN[1]


def test_what_is_wider_and_as_empty_is_kept():
    assert alone(np.full(ROWS, 0.3), np.where(Z < 150, 60, 110)) == SEEN[1]


def test_a_hole_through_the_body_below_the_channel_is_left_out():
    last = alone(np.where(Z < 150, 0.1, 0.8), np.full(ROWS, 60))
    assert last == pytest.approx(150, abs=5)


def test_a_hole_is_told_from_a_channel_that_is_emptier_below_a_screw():
    assert pierced_from(np.where(Z < 150, 0.1, 0.8)) == 150 + ABOVE_PX
    assert pierced_from(np.where(Z < 20, 0.1, 0.8)) is None
    assert pierced_from(np.full(ROWS, 0.8)) is None


@pytest.mark.parametrize("edge", [0.1, 0.3])
def test_what_a_denser_sleeve_leaves_inside_is_left_out_with_its_lower_edge(edge):
    dips = np.where(Z < 150, 0.2, np.where(Z < 250, 0.1, edge))
    assert alone(dips, np.where(Z < 150, 90, 105)) == pytest.approx(150, abs=6)
