"""A hole ends above and below; a hollow goes on, a channel comes from above."""

import numpy as np
import pytest

from features.hole_ends import UNTOLD, hole_ends

APART = np.arange(-2.0, 2.0, 0.05)
HALF_HEIGHT, TO_TIP = 0.4, 2.0


def missing(from_, to):
    return 0.6 * ((from_ < APART) & (to > APART))


def test_a_hole_ends_below_and_stands_out_from_above():
    goes_on, stands_out = hole_ends(missing(-0.4, 0.4), APART, HALF_HEIGHT, TO_TIP)
    assert goes_on < 0.01
    assert stands_out == pytest.approx(0.6)


def test_a_hollow_goes_on_to_the_apex():
    goes_on, stands_out = hole_ends(missing(-0.4, 2.0), APART, HALF_HEIGHT, TO_TIP)
    assert goes_on > 0.9
    assert stands_out == pytest.approx(0.6)


def test_a_channel_comes_from_above():
    goes_on, stands_out = hole_ends(missing(-2.0, 0.4), APART, HALF_HEIGHT, TO_TIP)
    assert goes_on < 0.01
    assert stands_out == pytest.approx(0.0)


def test_a_rounded_apex_close_below_tells_nothing():
    goes_on, _ = hole_ends(missing(-0.4, 2.0), APART, HALF_HEIGHT, 0.8)
    assert goes_on == 0.0


def test_where_no_row_lies_above_nothing_is_told_of_it():
    part = APART > -0.5
    _, stands_out = hole_ends(missing(-0.4, 0.4)[part], APART[part], HALF_HEIGHT, TO_TIP)
    assert stands_out == UNTOLD
