"""Walls beside bone that is as uneven as the metal is bright."""

import numpy as np
import pytest

from features.clear_wall import CLEAR, EVEN_TEXTURE, LOST, clearness, less_sure_in_bone
from features.outline import find_walls
from features.quantity import Measured
from features.strip import Axis, Strip

LENGTH, HALF = 300.0, 50.0
WIDTH = Measured(100.0, 1.0, "px")


def rod(bone_swing):
    """A bright rod between bone that swings across it by so much, every 12 px."""
    z, t = np.arange(-30.0, 340.0), np.arange(-120.0, 121.0)
    row = np.clip(HALF + 0.5 - np.abs(t), 0.0, 1.0) * 0.4
    bone = bone_swing / 2 * np.cos(2 * np.pi * t / 12)
    grey = 0.3 + row + np.where(np.abs(t) > HALF, bone, 0.0)
    pixels = np.repeat(grey[None], len(z), axis=0)
    strip = Strip(pixels, np.ones(pixels.shape, bool), z, t, Axis((0.0, 0.0), 0.0, LENGTH))
    return strip, find_walls(strip, HALF)


def test_a_wall_beside_even_bone_stands_out():
    assert clearness(*rod(0.01), (100.0, 140.0)) > CLEAR


def test_a_wall_beside_bone_as_steep_does_not():
    assert clearness(*rod(0.5), (100.0, 140.0)) < (CLEAR + LOST) / 2


def test_where_no_bone_is_on_the_film_none_draws_a_wall_astray():
    strip, outline = rod(0.5)
    cut = strip.columns(-HALF - 6.0, HALF + 6.0)
    inside = np.zeros_like(strip.inside)
    inside[:, cut] = True
    only = Strip(strip.pixels, inside, strip.z_px, strip.t_px, strip.axis)
    assert clearness(only, outline, (100.0, 140.0)) == CLEAR


@pytest.mark.parametrize(("texture", "clear"), [(EVEN_TEXTURE, LOST), (0.5, CLEAR)])
def test_neither_uneven_bone_nor_a_soft_wall_alone_makes_a_width_less_sure(texture, clear):
    assert less_sure_in_bone(WIDTH, texture, clear) == WIDTH


def test_the_more_bone_swings_the_less_sure_a_soft_wall_until_it_is_not_told():
    some, more = (less_sure_in_bone(WIDTH, texture, LOST) for texture in (0.25, 0.35))
    assert some.value == more.value == WIDTH.value
    assert WIDTH.std < some.std < more.std
    assert "no sure wall" in less_sure_in_bone(WIDTH, 0.45, LOST).reason
