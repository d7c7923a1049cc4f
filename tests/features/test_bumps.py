"""Bumps of a wall given as numbers."""

import numpy as np
import pytest

from features.bumps import bump_at, roots_beside, roots_stagger
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


def turning(phase, bands=1.0):
    """Turns of 70 px, the farther down the farther apart where `bands` is more than 1."""
    return 50 - 0.02 * Z + 10 * np.cos(2 * np.pi * ((Z / 400) ** bands * 400 / 70 - phase))


@pytest.mark.parametrize(("phase", "off"), [(0.0, 0.0), (0.25, 0.25), (0.5, 0.5), (0.75, 0.25)])
def test_how_far_one_walls_roots_stand_off_the_others(phase, off):
    stagger, std = roots_stagger(wall(turning(0.0), turning(phase)))
    assert stagger == pytest.approx(off, abs=0.03)
    assert std < 0.05


def test_roots_that_follow_each_other_unevenly_are_level_all_the_same():
    stagger, _ = roots_stagger(wall(turning(0.0, 1.3), turning(0.0, 1.3)))
    assert stagger < 0.03


def test_even_walls_have_no_roots_to_compare():
    assert roots_stagger(wall(wavy(0.5), wavy())) is None
