"""A hole turned to its side: the same share of metal missing in every ray at its height."""

import numpy as np
import pytest

from tests.features.bodies_on_film import read
from tests.features.drawn_bodies import MM_PER_PX, film, knots, rod


def banded(half_mm=0.5, at_mm=7.0, **more):
    """A hole square to the beam through a rod of 4 mm: 2·√(r² − z²) less of every chord."""

    def missing(t, z):
        chord = 2 * np.sqrt(np.maximum(4.0 - t**2, 1e-6))
        hole = 2 * np.sqrt(np.maximum(half_mm**2 - (z - at_mm) ** 2, 0))
        return np.minimum(hole / chord, 1.0)

    return film(rod(), notch=missing, **more)


@pytest.mark.parametrize("half_mm", [0.5, 0.7])
def test_a_hole_seen_from_its_side_is_found_with_its_height_and_place(half_mm):
    found = read(banded(half_mm))
    assert found.findings["vents"].state == "present"
    assert "side" in found.findings["vents"].reason
    (vent,) = found.vents
    assert vent.shape == "band"
    assert not vent.width
    for value, true in ((vent.height, 2 * half_mm), (vent.from_apex, 3.0)):
        assert value.interval[0] * MM_PER_PX < true < value.interval[1] * MM_PER_PX


@pytest.mark.parametrize("noise", [0.004, 0.02])
def test_a_sound_rod_has_no_band(noise):
    assert read(film(rod(), noise=noise)).findings["vents"].state == "absent"


def test_a_step_in_the_grey_is_no_hole():
    stepped = film(rod(), notch=lambda t, z: 0.2 * ((z > 7.0) & (abs(t) < 1.9)))
    assert read(stepped).findings["vents"].state == "absent"


def test_a_hollow_that_goes_on_to_the_apex_is_no_hole():
    hollow = film(rod(), channel=knots((6.0, 1.0), (10.1, 1.0)))
    assert read(hollow).findings["vents"].state == "absent"
