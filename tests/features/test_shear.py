"""How a thread climbs along the grazing rays."""

import numpy as np
import pytest

from features.helix import Helix
from features.quantity import Measured, NotMeasured
from features.shear import wall_shears

RADIUS, PITCH = 70.0, 20.0
UNIT = np.sqrt(2 / RADIUS) / (2 * np.pi)


def told(starts, tilt_deg):
    tilt = NotMeasured("unclear") if tilt_deg is None else Measured(tilt_deg, 0.5, "deg")
    return wall_shears(Helix({starts: 1.0}, tilt), radius_px=RADIUS, pitch_px=PITCH)


def test_seen_square_both_walls_climb_by_the_starts():
    assert told(1, 0.0) == pytest.approx((UNIT, UNIT))
    assert told(2, 0.0) == pytest.approx((2 * UNIT, 2 * UNIT))


def test_a_beam_along_the_helix_levels_one_wall_and_doubles_the_other():
    along = np.degrees(np.arctan(PITCH / (2 * np.pi * RADIUS)))
    left, right = told(1, along)
    assert right == pytest.approx(0.0, abs=1e-9)
    assert left == pytest.approx(2 * UNIT)
    assert told(1, -along) == pytest.approx((right, left))


def test_an_unknown_tilt_counts_as_the_usual_one_on_both_walls():
    left, right = told(0, None)
    assert left == right
    assert told(0, 3.0)[0] < left < told(0, 6.0)[0]
