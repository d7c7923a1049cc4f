"""Turns given as numbers: those on the same side of a ledge as a height."""

from dataclasses import replace

import numpy as np
import pytest

from features.ledge import on_its_level
from features.outline import Outline
from features.turns import NEAR_CRESTS, Turns

PITCH = 20.0
LEDGE = 205.0  # between crests at 200 and 220 on one wall, 190 and 210 on the other


def turns(from_px, drop_px, *, slope=-0.01, noise_px=0.3):
    z = np.arange(from_px, 400.0, PITCH)
    noise = noise_px * np.random.default_rng(int(from_px)).standard_normal(len(z))
    return Turns(z, 90.0 + slope * z - drop_px * (z > LEDGE) + noise, NEAR_CRESTS)


def walls(left_drop_px, right_drop_px, **more):
    return turns(20.0, left_drop_px, **more), turns(10.0, right_drop_px, **more)


def weaving(left_ledge_px, right_ledge_px):
    """Both walls with turns 6 px deep, stepping in by 8 px at a ledge."""
    z = np.arange(0.0, 400.0)
    left, right = (
        84.0 - 0.01 * z - 8.0 * (z > ledge) + 6 * np.cos(2 * np.pi * (z - crest) / PITCH)
        for crest, ledge in ((20.0, left_ledge_px), (10.0, right_ledge_px))
    )
    return Outline(z, left, right, np.ones_like(z), np.ones_like(z), 0.01)


def level(both, height_px, ledge_px=(LEDGE, LEDGE)):
    return on_its_level(both, height_px, weaving(*ledge_px), pitch_px=PITCH)


@pytest.mark.parametrize(("height_px", "level_px"), [(196.0, 90.0), (214.0, 82.0)])
def test_turns_beyond_a_ledge_say_nothing_of_a_height_beside_it(height_px, level_px):
    left, right = walls(8.0, 8.0)
    true = level_px - 0.01 * height_px
    # a line through the turns of both levels lies some three pixels off either
    assert abs(left.at(height_px)[0] - true) > 1.0
    found = level((left, right), height_px)
    assert found.turns.at(height_px)[0] + found.off_px == pytest.approx(true, abs=0.6)
    assert found.std_px < 1.5


@pytest.mark.parametrize("ledge_px", [202.0, 209.0])
def test_the_outline_tells_where_between_two_turns_a_ledge_stands(ledge_px):
    # at 205.5 px the turns, at 200 and 210, are the same whichever way it is
    found = level(walls(8.0, 8.0), 205.5, (ledge_px, ledge_px))
    true = (82.0 if ledge_px < 205.5 else 90.0) - 0.01 * 205.5
    other = (90.0 if ledge_px < 205.5 else 82.0) - 0.01 * 205.5
    value = found.turns.at(205.5)[0] + found.off_px
    assert abs(value - true) < abs(value - other)
    assert abs(value - true) < 2 * np.hypot(found.std_px, 0.3)


def test_a_height_on_the_ledge_itself_is_known_by_half_its_step():
    found = level(walls(8.0, 8.0), LEDGE)
    assert found.std_px == pytest.approx(4.0, abs=0.3)
    middle = 86.0 - 0.01 * LEDGE
    assert found.turns.at(LEDGE)[0] + found.off_px == pytest.approx(middle, abs=1.5)


def test_walls_that_step_at_different_heights_leave_open_on_which_level_one_between_lies():
    assert level(walls(8.0, 8.0), LEDGE, (190.0, 220.0)).std_px == pytest.approx(4.0, abs=0.3)


def test_of_two_ledges_the_nearer_one_parts_the_turns():
    left, right = (
        Turns(t.z_px, t.distance_px - 8.0 * (t.z_px > 305.0), NEAR_CRESTS) for t in walls(8.0, 8.0)
    )
    once = weaving(LEDGE, LEDGE)
    lower = 8.0 * (once.z_px > 305.0)
    twice = replace(once, left_px=once.left_px - lower, right_px=once.right_px - lower)
    found = on_its_level((left, right), 290.0, twice, pitch_px=PITCH)
    value = found.turns.at(290.0)[0] + found.off_px
    assert value == pytest.approx(82.0 - 2.9, abs=0.6)


def test_a_taper_is_no_ledge():
    left, right = walls(0.0, 0.0, slope=-0.1)
    assert level((left, right), 196.0).turns is left


def test_what_one_wall_alone_shows_is_no_ledge():
    left, right = walls(6.0, -6.0)
    assert level((left, right), 196.0).turns is left
    assert level((left, None), 196.0).turns is left


def test_a_body_that_widens_downward_has_no_ledge():
    left, right = walls(-8.0, -8.0)
    assert level((left, right), 196.0).turns is left


def test_too_few_turns_show_no_ledge():
    left, right = (Turns(t.z_px[8:11], t.distance_px[8:11]) for t in walls(8.0, 8.0))
    assert level((left, right), 196.0).turns is left
