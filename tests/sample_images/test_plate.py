"""Flat bodies."""

import numpy as np
import pytest

from sample_images.cross_hole import CrossHole
from sample_images.plate import slab
from sample_images.rays import Part, path_lengths_mm
from sample_images.solids import Profile, without
from tests.sample_images.sections import area_mm2

MICROMETRE = 1e-3


def test_a_window_is_empty_and_the_plate_beside_it_as_thick_as_it_says():
    half = Profile((0.0, 10.0), (8.0, 8.0))
    window = CrossHole(5.0, 2.0, 3.0, 0.0, across_mm=4.0)
    plate = without(slab(half, 1.2, 0.0), window.field())
    part = Part(lambda rays: (plate(rays),), ("titanium",), 8.1, 0, 10, 200, depth_mm=0.7)
    across = np.array([4.0, 4.9, 5.1, 0.0, -4.0])
    paths = path_lengths_mm(part, across, np.full(5, 5.0), 0.0)[0]
    np.testing.assert_allclose(paths, [0, 0, 1.2, 1.2, 1.2], atol=MICROMETRE)


def test_a_turned_plate_keeps_its_section():
    half = Profile((0.0, 4.0), (5.0, 5.0))
    for turn in (0.0, 35.0):
        assert area_mm2(slab(half, 1.2, turn), 2.0, 6.0) == pytest.approx(12.0, rel=5e-3)
