"""What stands on a platform in one piece with it."""

import math

import numpy as np
import pytest

from sample_images.heads import Head, spline_teeth
from tests.sample_images.sections import area_mm2, inside, radius_mm

MICROMETRE = 1e-3


def test_a_spline_has_six_teeth_with_gaps_between():
    teeth = spline_teeth(4.0, 1.0, 12.0)
    turn = np.radians(np.arange(0, 360, 0.25))
    ring = inside(teeth, 1.8 * np.cos(turn), 1.8 * np.sin(turn), np.full(turn.shape, -0.5)) > 0
    assert (ring != np.roll(ring, 1)).sum() == 12
    assert 0.35 < ring.mean() < 0.65
    assert inside(teeth, 1.8, 0.0, -1.1) < 0


def test_a_ball_is_as_wide_as_it_says_and_joined_to_its_platform():
    head = Head("ball", 1.8, 3.0, 0.0, 2.5)
    field = head.field()
    middle = -3.0 + 0.9
    assert radius_mm(field, middle, 40.0) == pytest.approx(0.9, abs=MICROMETRE)
    off = 0.5
    assert radius_mm(field, middle - off, 0.0) == pytest.approx(math.sqrt(0.81 - off**2), abs=0.002)
    assert inside(field, 0.0, 0.0, -3.05) < 0
    assert (inside(field, 0.0, 0.0, np.linspace(-2.9, 0.0, 50)) > 0).all()


def test_a_pocket_is_larger_than_the_head_it_fits_over():
    for kind in ("male hexagon", "male octagon", "post", "ball", "square", "spline teeth"):
        head = Head(kind, 2.4, 3.0, 10.0, 3.6)
        z = -1.5
        grown = area_mm2(head.field(0.05), z, 2.5, 400)
        assert grown > area_mm2(head.field(), z, 2.5, 400)
