"""Mesial and distal, for every quadrant, upright and upside down.

A film is shown as if facing the patient: the patient's right is on the left of the film, so mesial
is toward the film's right for quadrants 1 and 4, toward its left for 2 and 3 (ISO 3950 gives the
quadrants). A film turned by half a turn swaps left and right.
"""

import math

import pytest

from features.quantity import NotMeasured
from features.sides import mesial_side
from features.strip import Axis

MESIAL_ON_FILM = {
    "1": "right", "2": "left", "3": "left", "4": "right",
    "5": "right", "6": "left", "7": "left", "8": "right",
}  # fmt: skip
APEX_UP = {"1", "2", "5", "6"}


def axis(tooth, *, upside_down=False, lean_deg=0.0):
    up = (tooth[0] in APEX_UP) != upside_down
    return Axis((500.0, 500.0), math.radians((-90 if up else 90) + lean_deg), 300.0)


def side_on_film(side, axis):
    """Left or right, for the sign of t: where a point at that t really lies."""
    return "right" if axis.to_film(0.0, 10.0 * side)[0] > 500 else "left"


@pytest.mark.parametrize("lean_deg", [-40, 0, 25])
@pytest.mark.parametrize("quadrant", MESIAL_ON_FILM)
def test_mesial_lies_toward_the_midline_on_an_upright_film(quadrant, lean_deg):
    tooth = quadrant + "4"
    line = axis(tooth, lean_deg=lean_deg)
    assert side_on_film(mesial_side(tooth, line), line) == MESIAL_ON_FILM[quadrant]


@pytest.mark.parametrize("quadrant", MESIAL_ON_FILM)
def test_mesial_swaps_on_a_film_turned_upside_down(quadrant):
    tooth = quadrant + "4"
    line = axis(tooth, upside_down=True)
    other = {"left": "right", "right": "left"}[MESIAL_ON_FILM[quadrant]]
    assert side_on_film(mesial_side(tooth, line), line) == other


def test_without_a_tooth_number_mesial_is_not_known():
    side = mesial_side(None, axis("36"))
    assert isinstance(side, NotMeasured)
    assert "tooth number" in side.reason


@pytest.mark.parametrize("angle_deg", [0, 25, 180, -10])
def test_an_implant_lying_across_the_film_has_no_clear_mesial_side(angle_deg):
    side = mesial_side("36", Axis((500.0, 500.0), math.radians(angle_deg), 300.0))
    assert isinstance(side, NotMeasured)
    assert "across the film" in side.reason
