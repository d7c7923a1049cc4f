"""Turns given as numbers: those on the same side of a ledge as a height."""

import numpy as np
import pytest

from features.ledge import on_its_level
from features.turns import NEAR_CRESTS, Turns

PITCH = 20.0
LEDGE = 205.0  # between crests at 200 and 220 on one wall, 190 and 210 on the other


def turns(from_px, drop_px, *, slope=-0.01, noise_px=0.3):
    z = np.arange(from_px, 400.0, PITCH)
    noise = noise_px * np.random.default_rng(int(from_px)).standard_normal(len(z))
    return Turns(z, 90.0 + slope * z - drop_px * (z > LEDGE) + noise, NEAR_CRESTS)


def walls(left_drop_px, right_drop_px, **more):
    return turns(20.0, left_drop_px, **more), turns(10.0, right_drop_px, **more)


@pytest.mark.parametrize(("height_px", "level_px"), [(196.0, 90.0), (214.0, 82.0)])
def test_turns_beyond_a_ledge_say_nothing_of_a_height_beside_it(height_px, level_px):
    left, right = walls(8.0, 8.0)
    true = level_px - 0.01 * height_px
    # a line through the turns of both levels lies some three pixels off either
    assert abs(left.at(height_px)[0] - true) > 1.0
    assert on_its_level(left, right, height_px).at(height_px)[0] == pytest.approx(true, abs=0.6)


def test_a_taper_is_no_ledge():
    left, right = walls(0.0, 0.0, slope=-0.1)
    assert on_its_level(left, right, 196.0) is left


def test_what_one_wall_alone_shows_is_no_ledge():
    left, right = walls(6.0, -6.0)
    assert on_its_level(left, right, 196.0) is left
    assert on_its_level(left, None, 196.0) is left


def test_a_body_that_widens_downward_has_no_ledge():
    left, right = walls(-8.0, -8.0)
    assert on_its_level(left, right, 196.0) is left


def test_too_few_turns_show_no_ledge():
    left, right = (Turns(t.z_px[8:11], t.distance_px[8:11]) for t in walls(8.0, 8.0))
    assert on_its_level(left, right, 196.0) is left
