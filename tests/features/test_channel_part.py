"""The dark parts of a body on its axis."""

import numpy as np
import pytest

from features.channel_part import ASLANT, dark_parts
from features.channel_rows import row_dip
from tests.features.channel_strips import ABOVE_PX, columns, empty_strip, round_dip

TIP_PX, BODY_PX, HALF_PX = 300.0, 130.0, 28.0
ROWS = ABOVE_PX + 310
Z = np.arange(ROWS) - float(ABOVE_PX)


def parts(dip):
    strip = empty_strip(ROWS)
    rows = row_dip(strip, dip, BODY_PX)
    return list(dark_parts(strip, dip, rows, 0.01, BODY_PX, (0.0, TIP_PX)))


def channel(end_px, slope=0.0, below=(), depth=0.2):
    """Dip down to a floor that drops by `slope` from left to right; and again in `below`."""
    dip = round_dip(np.full(ROWS, HALF_PX), depth)
    open_ = (Z > 2)[:, None] & (Z[:, None] < end_px + slope * columns())
    for first, last in below:
        open_ |= ((first < Z) & (last > Z))[:, None]
    return dip * open_


def test_a_part_is_told_by_where_it_lies_and_how_it_dips():
    (part,) = parts(channel(120.0))
    assert (part.first_px, part.last_px) == pytest.approx((2, 120), abs=4)
    assert part.low == pytest.approx(0.4, abs=0.02)
    assert part.dip == pytest.approx(0.2, abs=0.02)
    assert part.upper.wide_px == pytest.approx(2 * HALF_PX * np.sqrt(0.75), abs=3)


@pytest.mark.parametrize(("slope", "aslant"), [(0.0, False), (0.35, True), (-0.35, True)])
def test_a_break_that_runs_aslant_is_told_from_a_floor(slope, aslant):
    assert parts(channel(120.0, slope))[0].aslant == aslant


def test_grain_does_not_make_a_floor_aslant():
    grain = 0.004 * np.abs(np.random.default_rng(4).standard_normal((ROWS, len(columns()))))
    assert parts(channel(120.0) + grain)[0].lean < ASLANT


@pytest.mark.parametrize(("slope", "goes_on"), [(0.0, False), (0.35, True)])
def test_far_down_only_a_break_that_is_seen_parts_a_channel(slope, goes_on):
    above, below = parts(channel(90.0, slope, below=[(200, 240)]))
    assert below.continues(above) == goes_on


def test_a_short_part_is_none():
    assert parts(channel(8.0)) == []
