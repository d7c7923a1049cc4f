"""What is found at a place speaks for a hole, or for a hollow round the axis."""

import numpy as np
import pytest

from features.hole_judge import Likeness, probability, rows_of, terms
from features.hole_shapes import ACROSS

HALF, TIP = 40.0, 300.0
Z = np.arange(75.0, 298.0, 2.0)
AT = TIP - 1.7 * HALF
LIKE = Likeness(0.45, 0.97, 0.85, 0.04, 0.6)


def rows(profile, ripple=0.0):
    there = (np.abs(Z - AT) < 0.45 * HALF)[:, None]
    striped = 1 + ripple * np.where(np.arange(len(Z)) // 2 % 2, 1, -1)[:, None]
    missing = there * striped * profile[None, :]
    return rows_of(missing, 1, Z, HALF, tip_px=TIP, channel_end_px=100.0)


def chord(radius):
    return np.sqrt(np.maximum(radius**2 - ACROSS**2, 0.0))


@pytest.mark.parametrize("radius", [0.3, 0.5, 0.7])
def test_the_chord_of_a_circle_is_a_hollow(radius):
    assert terms(rows(chord(radius)), AT, LIKE)["by_row"] < 0


@pytest.mark.parametrize("profile", [0.3 * (chord(1.0) > 0), chord(1.0) * (np.abs(ACROSS) < 0.3)])
def test_a_band_and_a_window_are_holes(profile):
    assert terms(rows(profile), AT, LIKE)["by_row"] > 0.4


def test_stripes_of_a_tap_speak_against_a_hole():
    smooth, striped = (probability(rows(chord(0.6), ripple), AT, LIKE) for ripple in (0.0, 0.3))
    assert striped < smooth


def test_what_a_hollow_explains_as_well_is_less_likely_a_hole():
    hollow = Likeness(0.45, 0.97, 0.97, 0.04, 0.6)
    seen = rows(chord(0.6))
    assert probability(seen, AT, hollow) < probability(seen, AT, LIKE)


def test_what_the_channel_ends_in_is_less_likely_a_hole():
    seen = rows(0.3 * np.ones(len(ACROSS)))
    inside = rows_of(seen.missing, 1, Z, HALF, tip_px=TIP, channel_end_px=AT + HALF)
    assert probability(inside, AT, LIKE) < probability(seen, AT, LIKE)
