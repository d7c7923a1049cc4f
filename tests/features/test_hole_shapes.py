"""The metal that holes and hollows take, against their chords."""

import numpy as np
import pytest

from features.hole_shapes import (
    ACROSS,
    HOLLOWS,
    STEP,
    holes,
    hollows,
    rows_of_holes,
    rows_of_hollows,
    window,
)

MIDDLE = len(ACROSS) // 2


def row_of(half_height, turn, half_width):
    kinds, taken = holes(half_height)
    return taken[kinds.index((turn, half_width)), np.flatnonzero(window(half_height) == 0)[0]]


def test_a_hole_seen_end_on_leaves_nothing_in_its_middle_and_all_beside():
    row = row_of(0.8, 0.0, 0.36)
    assert row[MIDDLE] == pytest.approx(1.0, abs=0.03)
    assert row[0] == pytest.approx(0.0, abs=0.01)


def test_a_hole_seen_from_its_side_takes_its_width_out_of_every_ray():
    row = row_of(0.8, 90.0, 0.36)
    assert row[1:-1] == pytest.approx(0.36, abs=0.03)


def test_a_hollow_takes_the_chord_of_a_circle():
    at = 4 * HOLLOWS.index(0.6) + 3  # its flat form
    row = hollows(1.0)[at, np.flatnonzero(window(1.0) == 0)[0]]
    assert row[MIDDLE] == pytest.approx(0.6, abs=0.03)
    assert row[np.abs(ACROSS) > 0.8].max() < 0.05


def test_a_drill_leaves_a_point_and_a_channel_goes_on_above():
    closed, channel = hollows(0.6)[4 * HOLLOWS.index(0.4) :][:2, :, MIDDLE]
    z = STEP * window(0.6)
    assert closed[z < -0.8].max() < 0.02
    assert channel[z < -0.8].min() > 0.3
    assert closed[np.argmin(np.abs(z - 0.45))] < 0.8 * closed[np.argmin(np.abs(z))]


def test_a_hole_through_a_hollow_takes_more_than_the_hollow_alone():
    assert rows_of_holes().max() <= 1.001
    assert rows_of_hollows().max() < 0.9
    assert rows_of_holes().mean() > rows_of_hollows().mean()
