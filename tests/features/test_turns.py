"""Crests and roots turn by turn, on walls given as numbers."""

import numpy as np
import pytest

from features.outline import Outline
from features.turns import find_turns

PITCH = 27.0
Z = np.arange(0.0, 400.0)


def wall(distance):
    strength = np.ones(len(Z))
    return Outline(Z, distance, distance, strength, strength, 0.01)


def threaded(core=50.0, depth=8.0):
    return core + depth * (0.5 + 0.5 * np.cos(2 * np.pi * Z / PITCH))


CRESTS = tuple(PITCH * n for n in range(1, 14))


@pytest.mark.parametrize(("roots", "distance"), [(False, 58.0), (True, 50.0)])
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_crests_and_roots_stand_where_the_outline_has_them(roots, distance, side):
    turns = find_turns(wall(threaded()), side, CRESTS, PITCH, roots=roots)
    # a tenth of the turns' rows are left out at the extreme: 0.6 px of 8
    assert turns.outline_px == pytest.approx(distance, abs=0.6)
    assert len(turns.z_px) >= 12


def test_an_even_wall_needs_no_correction():
    outline = wall(threaded())
    turns = find_turns(outline, 1.0, CRESTS, PITCH, roots=False)
    off, std = turns.off_line(outline, np.full(len(Z), 54.0), 200.0)
    assert off == 0.0
    assert 0 < std < 0.5


def test_a_line_that_a_flare_has_drawn_out_is_corrected_where_it_is_wrong():
    outline = wall(threaded())
    line = 54.0 + 5.0 * np.exp(-Z / 60.0)  # the true wall is straight
    turns = find_turns(outline, 1.0, CRESTS, PITCH, roots=False)
    off, _ = turns.off_line(outline, line, 40.0)
    assert off == pytest.approx(-5.0 * np.exp(-40.0 / 60.0), abs=0.6)
    far, _ = turns.off_line(outline, line, 320.0)
    assert abs(far) < 0.3


def test_fewer_than_two_turns_tell_nothing():
    assert find_turns(wall(threaded()), 1.0, (500.0, 600.0), PITCH, roots=False) is None
