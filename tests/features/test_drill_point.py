"""Whether a channel ends in a drill's point."""

import numpy as np
import pytest

from features.drill_point import ends_in_a_point
from tests.features.channel_strips import ABOVE_PX, columns, empty_strip, round_dip

ROWS, END_PX, WIDE_PX = 260, 120.0, 60.0
Z = np.arange(ROWS) - float(ABOVE_PX)
POINT_PX = WIDE_PX / 2 / np.tan(np.radians(59))  # of a 118 degree drill


def drilled(point_px=POINT_PX, below=0.0):
    """Missing metal of a channel and the cone below it; `below`, a narrow part goes on."""
    half = WIDE_PX / 2 * np.clip(1 - (Z - END_PX) / max(point_px, 1e-9), 0, 1)
    half = np.where((Z > END_PX) & (half < below), below, half)
    return round_dip(half) * half[:, None] / 100


def tilted(deg):
    """A flat floor seen from above: its far edge lies lower."""
    half = WIDE_PX / 2
    chord = np.sqrt(np.maximum(half**2 - columns() ** 2, 0))[None, :]
    drop = (Z[:, None] - END_PX) / np.tan(np.radians(deg))
    return np.clip((chord - drop) / 2, 0, chord) / 100


def pointed(dip):
    return ends_in_a_point(empty_strip(ROWS), dip, END_PX, WIDE_PX)


def test_a_drilled_channel_ends_in_a_point():
    assert pointed(drilled())


def test_noise_does_not_hide_it():
    dip = drilled()
    assert pointed(dip + 0.03 * np.random.default_rng(1).standard_normal(dip.shape))


def test_a_flat_floor_is_none():
    assert not pointed(drilled(point_px=1.0))


@pytest.mark.parametrize("deg", [5.0, 10.0, 15.0])
def test_a_tilted_floor_is_none(deg):
    assert not pointed(tilted(deg))


def test_a_narrow_part_that_goes_on_below_is_none():
    assert not pointed(drilled(below=12.0))


def test_too_few_rows_tell_nothing():
    assert not ends_in_a_point(empty_strip(ROWS), drilled(), END_PX, 5.0)
