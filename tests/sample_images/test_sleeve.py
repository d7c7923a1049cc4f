"""Porous surfaces."""

import math

import numpy as np
import pytest

from sample_images.sleeve import Sleeve
from sample_images.solids import Profile, revolved
from tests.sample_images.sections import area_mm2, radius_mm

AREA_SHARE = 3e-3  # of a section counted on a lattice of 700 x 700 points
MICROMETRE = 1e-3


def test_beads_roughen_the_edge_by_no_more_than_their_depth():
    envelope = Profile((0.0, 8.0), (2.0, 1.6))
    sleeve = Sleeve("beads", 1.0, 7.8, 0.3, 0.16, 1.0, envelope)
    body = sleeve.roughened(revolved(envelope))
    z = np.linspace(1.2, 7.6, 300)
    edge = np.array([radius_mm(body, at, 30.0) for at in z[::6]])
    below = envelope(z[::6]) - edge
    assert below.min() >= -MICROMETRE
    assert below.max() <= 0.16 + MICROMETRE
    assert below.std() > 0.01
    assert radius_mm(body, 0.5, 30.0) == pytest.approx(float(envelope(0.5)), abs=MICROMETRE)


def test_a_tantalum_band_has_the_volume_of_its_shell():
    envelope = Profile((0.0, 8.0), (2.0, 2.0))
    band = Sleeve("tantalum", 2.0, 6.0, 0.5, 0.16, 1.0, envelope).band()
    assert area_mm2(band, 4.0, 2.2) == pytest.approx(math.pi * (4.0 - 2.25), rel=AREA_SHARE)
    assert area_mm2(band, 1.5, 2.2) == 0
