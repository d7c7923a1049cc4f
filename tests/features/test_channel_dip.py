"""How far a channel's rows dip, and how wide they are."""

import numpy as np
import pytest

from features.channel_dip import own_gap, rough_width, round_over, row_widths
from tests.features.channel_strips import ABOVE_PX, columns, empty_strip, round_dip

BODY_PX = 130.0
ROWS = 260
Z = np.arange(ROWS) - float(ABOVE_PX)


@pytest.mark.parametrize("level", [0.1, 0.3, 0.6])
def test_a_round_channel_is_wider_than_its_dip_at_a_level(level):
    dip = round_dip([80.0])[0]
    assert (dip > level).sum() / 2 * round_over(level) == pytest.approx(80, abs=1.0)


def test_row_widths_follow_the_wall():
    strip = empty_strip(ROWS)
    half = np.where(Z < 100, 40.0, 25.0)
    wide = row_widths(strip, round_dip(half, 0.3), strip.rows(0, 200), BODY_PX)
    assert np.median(wide[:80]) == pytest.approx(80, abs=2)
    assert np.median(wide[-80:]) == pytest.approx(50, abs=2)


def test_the_rough_width_is_that_at_half_the_dip():
    dip = round_dip(np.full(ROWS, 30.0), 0.3)
    rough = rough_width(empty_strip(ROWS), dip, (0.0, 200.0), BODY_PX)
    assert rough == pytest.approx(2 * 30 * np.sqrt(0.75), abs=2)


def with_roots(half_px):
    """A round channel in a body whose thread's roots reach in at both walls."""
    dip = round_dip(np.full(ROWS, half_px), 0.1)
    dip[:, np.abs(columns()) > 0.40 * BODY_PX] = 0.4
    return dip


@pytest.mark.parametrize("half_px", [15.0, 30.0])
def test_the_roots_of_the_bodys_thread_do_not_widen_a_channel(half_px):
    strip = empty_strip(ROWS)
    wide = row_widths(strip, with_roots(half_px), strip.rows(0, 200), BODY_PX)
    assert np.median(wide) == pytest.approx(2 * half_px, abs=2)


def test_what_full_metal_parts_from_the_channel_is_another_gap():
    kept = own_gap(with_roots(30.0), columns(), BODY_PX)
    assert kept[:, np.abs(columns()) > 0.40 * BODY_PX].max() == 0
    assert kept[:, np.abs(columns()) < 30].min() > 0


def test_a_gap_as_wide_as_the_body_is_kept_whole():
    dip = round_dip(np.full(ROWS, 60.0), 0.3)
    assert np.array_equal(own_gap(dip, columns(), BODY_PX), dip)
