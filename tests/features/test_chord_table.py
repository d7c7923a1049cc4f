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
    assert float(chord_table().ev(np.log(strength), y)) == pytest.approx(
        blurred(strength, y), abs=6e-4
    )


def test_far_outside_there_is_nothing_and_far_inside_the_rim_is_unblurred():
    assert float(chord_table().ev(np.log(1.0), -6.0)) == pytest.approx(0.0, abs=1e-4)
    assert float(chord_table().ev(np.log(0.3), 50.0)) == pytest.approx(
        1 - np.exp(-0.3 * np.sqrt(50.0)), abs=1e-3
    )
