"""A hole stands out from the rows above it; a channel comes from there."""

import numpy as np
import pytest

from features.hole_ends import UNTOLD, stands_out

APART = np.arange(-2.0, 2.0, 0.05)
HALF_HEIGHT = 0.4


def missing(from_, to):
    return 0.6 * ((from_ < APART) & (to > APART))


def test_a_hole_stands_out_from_above():
    assert stands_out(missing(-0.4, 0.4), APART, HALF_HEIGHT) == pytest.approx(0.6)


def test_a_channel_comes_from_above():
    assert stands_out(missing(-2.0, 0.4), APART, HALF_HEIGHT) == pytest.approx(0.0)


def test_where_no_row_lies_above_nothing_is_told_of_it():
    part = APART > -0.5
    assert stands_out(missing(-0.4, 0.4)[part], APART[part], HALF_HEIGHT) == UNTOLD
