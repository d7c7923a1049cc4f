"""A body's surface against its collar's."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from features.grain import FARTHEST_PX, NO_GRAIN, Grain, find_grain
from features.outline import find_walls
from features.strip import Axis, Strip

LENGTH, RADIUS = 300.0, 60.0


def cylinder(body_blur, collar_blur=1.0):
    """A round rod whose edge is softer below its first tenth."""
    z, t = np.arange(-30.0, 340.0), np.arange(-100.0, 100.25, 0.25)
    path = 2 * np.sqrt(np.maximum(RADIUS**2 - t**2, 0)) / 30
    row = 1 - np.exp(-path)
    sharp, soft = (ndimage.gaussian_filter1d(row, blur / 0.25) for blur in (collar_blur, body_blur))
    grey = np.where(z[:, None] < 0.1 * LENGTH, sharp, soft)[:, ::4]
    axis = Axis((0.0, 0.0), 0.0, LENGTH)
    strip = Strip(grey, np.ones(grey.shape, bool), z, t[::4], axis)
    return strip, find_walls(strip, RADIUS)


def test_a_softer_body_is_grained_by_what_the_blur_adds_in_squares():
    grain = find_grain(*cylinder(body_blur=2.0))
    assert grain.collar_blur_px == pytest.approx(1.0, abs=0.2)
    assert grain.added_px == pytest.approx(np.sqrt(3.0), abs=0.3)
    reach, std = grain.reach_px(2.0)
    assert 0 < std < reach <= FARTHEST_PX


def test_an_even_body_has_no_grain():
    grain = find_grain(*cylinder(body_blur=1.0))
    assert grain.added_px == 0.0
    assert grain.reach_px(1.0) == (0.0, 0.0)


def test_blur_at_one_height_only_makes_a_wall_less_sure_not_wider():
    reach, std = Grain(1.0, 0.0).reach_px(2.0)
    assert reach == 0.0
    assert std > 1.0
    assert NO_GRAIN.reach_px(9.0) == (0.0, 0.0)


def test_a_body_soft_at_one_height_only_has_a_hole_there_and_no_grain():
    strip, outline = cylinder(body_blur=1.0)
    holed, _ = cylinder(body_blur=2.5)
    spared = np.abs(strip.z_px - 0.45 * LENGTH) < 0.06 * LENGTH
    grey = np.where(spared[:, None], strip.pixels, holed.pixels)
    assert find_grain(replace(strip, pixels=grey), outline).added_px == 0.0
