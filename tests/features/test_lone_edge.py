"""Edges that stand alone, and edges among others."""

import numpy as np

from features.lone_edge import STRAYS, stray_chance
from features.strip import Axis, Strip

Z, T = np.arange(-60.0, 60.0, 0.5), np.arange(-20.0, 20.5, 0.5)


def strip(*steps):
    """Grey that rises going down by so much at every (height, by)."""
    grey = 0.2 + sum(by / (1 + np.exp(-(Z - at) / 1.0)) for at, by in steps)
    pixels = np.repeat(grey[:, None], len(T), axis=1)
    inside = np.ones(pixels.shape, bool)
    return Strip(pixels, inside, Z, T, Axis((0.0, 0.0), 0.0, 100.0))


def chance(*steps):
    return stray_chance(strip(*steps), ((-10.0, 10.0),), 0.0, toward=-1.0)


def test_the_only_edge_is_hardly_ever_another_ones():
    assert chance((0.0, 0.4)) == STRAYS[-1]


def test_the_more_the_grey_changes_nearby_the_likelier_an_edge_is_another_ones():
    chances = [chance((0.0, 0.4), (-12.0, other), (12.0, -other)) for other in (0.05, 0.2, 1.5)]
    assert chances == sorted(set(chances))
    assert chances[-1] == STRAYS[0]


def test_an_edge_the_other_way_is_none():
    assert chance((0.0, -0.4)) == STRAYS[0]


def test_what_lies_far_off_does_not_count():
    assert chance((0.0, 0.4), (-45.0, -0.4)) == STRAYS[-1]
