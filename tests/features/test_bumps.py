"""Bumps of a wall given as numbers."""

import numpy as np
import pytest

from features.bumps import bump_at, roots_beside
from features.outline import Outline

Z = np.arange(0.0, 400.0)


def wall(left, right, grey_a_px=1.0):
    strength = np.full(len(Z), grey_a_px)
    return Outline(Z, left, right, strength, strength, 0.01)


def wavy(height=10.0):
    return 50 - 0.02 * Z + height * np.cos(2 * np.pi * Z / 70)


@pytest.mark.parametrize("side", [-1.0, 1.0])
@pytest.mark.parametrize(("roots", "off"), [(False, 10.0), (True, -10.0)])
def test_the_line_over_bumps_and_under_them(side, roots, off):
    found = bump_at(wall(wavy(), wavy()), side, 200.0, roots=roots)
    assert found == pytest.approx(46.0 + off, abs=0.3)


def test_an_even_wall_and_one_with_bumps_on_one_side_only_have_none():
    even = wavy(0.5)
    assert bump_at(wall(even, even), 1.0, 200.0, roots=False) is None
    assert bump_at(wall(even, wavy()), 1.0, 200.0, roots=False) is None


def test_far_from_the_last_bump_nothing_is_told():
    ends = np.where(Z < 220, wavy(), wavy(0.0))
    assert bump_at(wall(ends, ends), 1.0, 100.0, roots=False) is not None
    assert bump_at(wall(ends, ends), 1.0, 260.0, roots=False) is None


def banded():
    """Turns above and below a plain band."""
    return np.where(np.abs(Z - 200) < 100, 50.0, wavy(6.0))


def test_roots_on_both_sides_of_a_band_tell_what_lies_beside_it():
    left, right = roots_beside(wall(banded(), banded()), 200.0)
    assert left == right
    assert left == pytest.approx(50 - 0.02 * 200 - 6, abs=1.0)
    assert bump_at(wall(banded(), banded()), 1.0, 200.0, roots=True) is None  # too far for that


def test_turns_on_one_side_of_a_height_or_on_one_wall_are_no_such_roots():
    above = np.where(Z > 100, 50.0, wavy(6.0))
    assert roots_beside(wall(above, above), 200.0) is None
    assert roots_beside(wall(banded(), np.full(len(Z), 50.0)), 200.0) is None


def test_walls_that_hardly_stand_out_of_the_noise_have_none():
    assert roots_beside(wall(banded(), banded(), grey_a_px=0.005), 200.0) is None
