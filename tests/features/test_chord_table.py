"""The tabulated rim against the integral it stands for."""

import numpy as np
import pytest
from scipy import integrate

from features.chord_table import chord_table


def blurred(strength, y):
    """1 − exp(−κ√d) under a Gaussian of unit width, by quadrature."""

    def integrand(d):
        return (1 - np.exp(-strength * np.sqrt(d))) * np.exp(-0.5 * (y - d) ** 2)

    whole, _ = integrate.quad(integrand, 0, max(y, 0) + 12, limit=200, points=[max(y, 0.01)])
    return whole / np.sqrt(2 * np.pi)


@pytest.mark.parametrize("strength", [0.01, 0.2, 1.0, 5.0])
@pytest.mark.parametrize("y", [-3.0, -0.5, 0.0, 0.7, 4.0, 20.0])
def test_the_table_holds_the_blurred_rim(strength, y):
    # Reached: 2e-4 at the steepest place.
    assert height(strength, y) == pytest.approx(blurred(strength, y), abs=6e-4)


@pytest.mark.parametrize("strength", [0.013, 0.2, 7.0])
@pytest.mark.parametrize("y", [-2.21, 0.03, 1.7, 33.3])
def test_its_slopes_are_those_of_its_heights(strength, y):
    step, log = 1e-5, np.log(strength)
    rim = chord_table().rim(log, np.array([y]))
    by_place = (height(strength, y + step) - height(strength, y - step)) / (2 * step)
    by_strength = height(np.exp(log + step), y) - height(np.exp(log - step), y)
    assert float(rim.by_place[0]) == pytest.approx(by_place, abs=1e-6)
    assert float(rim.by_strength[0]) == pytest.approx(by_strength / (2 * step), abs=1e-6)


def height(strength, y):
    return float(chord_table().height(np.log(strength), np.array([y]))[0])


def test_far_outside_there_is_nothing_and_far_inside_the_rim_is_unblurred():
    assert height(1.0, -6.0) == pytest.approx(0.0, abs=1e-4)
    assert height(0.3, 50.0) == pytest.approx(1 - np.exp(-0.3 * np.sqrt(50.0)), abs=1e-3)
