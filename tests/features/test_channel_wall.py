"""Whether the wall of an empty channel is tapped."""

import math

import numpy as np
import pytest

from features.channel_wall import tapped_wall
from tests.features.channel_strips import empty_strip

ROWS, WALL_PX, PX_PER_MM = 160, 40.0, 40.0
# major diameter and pitch, mm (ISO 261 coarse)
SCREWS = [(1.6, 0.35), (2.0, 0.4), (2.5, 0.45)]


def told(radius_px, deepest=0.3):
    """Of round channels with a radius in each row, the widest dipping by `deepest`."""
    strip = empty_strip(ROWS)
    squared = radius_px[:, None] ** 2 - strip.t_px[None, :] ** 2
    dip = deepest * np.sqrt(np.maximum(squared, 0.0)) / radius_px.max()
    return tapped_wall(strip, dip, slice(5, ROWS - 5), 130.0)


@pytest.mark.parametrize(("major_mm", "pitch_mm"), SCREWS)
def test_the_wall_of_a_tap_is_told_from_a_smooth_one_as_wide(major_mm, pitch_mm):
    z = np.arange(ROWS) / PX_PER_MM
    turn = np.abs((z / pitch_mm) % 1 - 0.5) * 2
    cut = 0.541266 * pitch_mm * np.clip((0.875 - turn) / 0.625, 0.0, 1.0)  # D to D1, ISO 68-1
    assert told((major_mm / 2 - cut) * PX_PER_MM) > 0.9
    assert told(np.full(ROWS, major_mm / 2 * PX_PER_MM)) < 0.1


@pytest.mark.parametrize("half_angle_deg", [0.0, 1.5, 3.0])
def test_a_well_that_narrows_downward_is_smooth(half_angle_deg):
    radius = WALL_PX - math.tan(math.radians(half_angle_deg)) * np.arange(ROWS)
    assert told(radius) < 0.25


def test_a_faint_wall_is_told_less_surely():
    sure, less = (told(np.full(ROWS, WALL_PX), deepest) for deepest in (0.3, 0.01))
    assert sure < 0.1 < less < 0.5
