"""A body's surface, from how its edges stray from row to row."""

import numpy as np
import pytest
from scipy import ndimage

from features.grain import NO_GRAIN, Grain, astray_px, find_grain
from features.outline import find_walls
from features.strip import Axis, Strip

LENGTH, RADIUS = 300.0, 60.0
COLLAR = 0.1 * LENGTH
RNG = np.random.default_rng(4)


def cylinder(off_px):
    """A round rod whose walls stand off by so much, row by row, below its first tenth."""
    z, t = np.arange(-30.0, 340.0), np.arange(-100.0, 101.0)
    rows = []
    for row, off in zip(z, off_px(z), strict=True):
        radius = RADIUS + (off if row > COLLAR else 0.0)
        path = 2 * np.sqrt(np.maximum(radius**2 - t**2, 0)) / 30
        rows.append(1 - np.exp(-path))
    grey = ndimage.gaussian_filter(np.array(rows), (0.0, 1.0))
    strip = Strip(grey, np.ones(grey.shape, bool), z, t, Axis((0.0, 0.0), 0.0, LENGTH))
    return strip, find_walls(strip, RADIUS)


def grains(z):
    """Grains some 6 px tall."""
    rough = ndimage.gaussian_filter1d(RNG.standard_normal(len(z)), 2.0)
    return 0.8 * rough / rough.std()


def even(z):
    """A smooth wall."""
    return np.zeros_like(z)


def turns(z):
    """Turns 40 px apart."""
    return 3 * np.cos(2 * np.pi * z / 40)


def test_an_edge_that_strays_from_row_to_row_is_grained():
    strip, outline = cylinder(grains)
    grain = find_grain(strip, outline)
    assert grain.reach_px > 2.0
    assert 0 < grain.std_px < 0.5 * grain.reach_px
    below = astray_px(outline, 1.0, 150.0, 180.0)
    assert grain.reach_at(grain.collar_blur_px, below)[0] > 1.0


def test_the_smooth_collar_of_a_grained_body_has_no_grain():
    strip, outline = cylinder(grains)
    collar = astray_px(outline, 1.0, 5.0, 20.0)
    assert find_grain(strip, outline).reach_at(1.0, collar)[0] == 0.0


@pytest.mark.parametrize("surface", [even, turns])
def test_neither_an_even_wall_nor_turns_are_grain(surface):
    assert find_grain(*cylinder(surface)).reach_px == 0.0


def test_where_turns_are_seen_nothing_is_taken_for_grain():
    assert find_grain(*cylinder(grains), turns=True).reach_px == 0.0


def test_blur_at_one_height_only_makes_a_wall_less_sure_not_wider():
    reach, std = Grain(1.0).reach_at(2.0, 0.1)
    assert reach == 0.0
    assert std > 1.0
    assert NO_GRAIN.reach_at(9.0, 0.1) == (0.0, 0.0)
