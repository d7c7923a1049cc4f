"""Whether a narrower part of a channel goes on below what passes for its end."""

import numpy as np
import pytest
from scipy import ndimage

from features.channel_end import CONE
from features.channel_ledge import below_a_ledge
from tests.features.channel_strips import ABOVE_PX, empty_strip

ROWS, FLOOR_PX, WIDE_PX = 300, 120.0, 90.0
Z = np.arange(ROWS) - float(ABOVE_PX)


def end(dips, wide, last_px):
    dips = ndimage.gaussian_filter1d(np.asarray(dips, float), 1.5)
    strip, wide = empty_strip(ROWS), np.asarray(wide, float)
    return below_a_ledge(strip, dips, wide, end_px=FLOOR_PX, last_px=last_px, width_px=WIDE_PX)


def ledge(end_px, left=0.2, narrow=0.45):
    dips = np.where(Z < FLOOR_PX, 0.2, np.where(end_px > Z, 0.2 * left, 0.0))
    return end(dips, np.where(Z < FLOOR_PX, WIDE_PX, narrow * WIDE_PX), end_px + 3)


@pytest.mark.parametrize("end_px", [165.0, 190.0])
@pytest.mark.parametrize("left", [0.2, 0.4])
def test_a_faint_narrow_part_is_followed_to_its_end(end_px, left):
    assert ledge(end_px, left) == pytest.approx(end_px, abs=3)


def test_grain_below_is_no_part_of_the_channel():
    assert ledge(190.0, left=0.05) == FLOOR_PX


def test_what_is_as_wide_below_is_left_to_others():
    assert ledge(190.0, narrow=0.9) == FLOOR_PX


def test_a_drills_cone_is_no_narrow_part():
    share = np.clip(1 - (Z - FLOOR_PX) / (CONE * WIDE_PX), 0, 1)
    assert end(0.2 * share, WIDE_PX * share, 190.0) == FLOOR_PX


def test_a_floor_with_nothing_below_is_the_end():
    dips = np.where(Z < FLOOR_PX, 0.2, 0.0)
    assert end(dips, np.full(ROWS, WIDE_PX), FLOOR_PX + 3) == FLOOR_PX
