"""Repeated medians against SciPy's."""

import numpy as np
import pytest
from scipy import stats

from features.median_line import median_line

CHANCE = np.random.default_rng(3)


@pytest.mark.parametrize("count", [2, 3, 8, 81])
def test_the_line_is_scipys(count):
    z, t = np.sort(CHANCE.random(count)), CHANCE.random(count)
    assert median_line(z, t) == pytest.approx(tuple(stats.siegelslopes(t, z))[:2], rel=1e-12)


def test_two_points_of_one_height_say_nothing_of_each_other():
    z, t = np.array([0.0, 1.0, 1.0, 2.0, 5.0, 6.0]), CHANCE.random(6)
    assert median_line(z, t) == pytest.approx(tuple(stats.siegelslopes(t, z))[:2], rel=1e-12)


def test_a_third_of_the_points_may_lie_anywhere():
    z = np.arange(30.0)
    t = 3.0 - 0.2 * z
    t[::3] = CHANCE.normal(0, 100, 10)
    assert median_line(z, t) == pytest.approx((-0.2, 3.0), abs=1e-9)
