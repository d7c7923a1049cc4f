"""Outlines given as numbers: a wall cut at one height comes out again below it."""

from dataclasses import replace

import numpy as np
import pytest

from features.cut_wall import uncut
from features.outline import Outline
from features.quantity import NotMeasured, from_parts

HEIGHT_PX, LENGTH_PX = 330.0, 440.0
Z = np.arange(0.0, LENGTH_PX)


def outline(left, right):
    return Outline(Z, left, right, np.ones_like(Z), np.ones_like(Z), 0.01)


def wall(at_platform_px=80.0, slope=0.0, *, cut_px=0.0, to_px=390.0):
    return at_platform_px + slope * Z - cut_px * ((Z > 280.0) & (to_px > Z))


def found(walls, width_px):
    width = from_parts(width_px, "px", edge=0.4)
    return uncut(width, walls, HEIGHT_PX, length_px=LENGTH_PX, tip_px=LENGTH_PX)


@pytest.mark.parametrize(("left_px", "right_px"), [(6.0, 6.0), (6.0, 0.0), (0.0, 6.0)])
def test_a_rod_is_as_wide_where_it_is_cut_as_beside_it(left_px, right_px):
    cut = outline(wall(cut_px=left_px), wall(cut_px=right_px))
    mended = found(cut, 160.0 - left_px - right_px)
    assert mended.value == pytest.approx(160.0)
    assert dict(mended.parts)["cut_wall"] == pytest.approx((left_px + right_px) / 2)
    assert dict(mended.parts)["edge"] == 0.4


def test_of_a_tapered_body_the_narrower_side_is_the_least_it_can_be():
    cut = outline(wall(90.0, -0.05, cut_px=8.0), wall(90.0, -0.05, cut_px=8.0))
    true = 2 * (90.0 - 0.05 * HEIGHT_PX)
    mended = found(cut, true - 16.0)
    assert true - 2 * 0.05 * (390.0 - HEIGHT_PX) == pytest.approx(mended.value, abs=0.2)


@pytest.mark.parametrize(
    ("slope", "cut_px", "to_px"),
    [
        pytest.param(-0.05, 0.0, 390.0, id="narrows evenly"),
        pytest.param(0.03, 0.0, 390.0, id="widens evenly"),
        pytest.param(-0.02, 6.0, LENGTH_PX, id="steps down to its end"),
    ],
)
def test_a_wall_that_does_not_come_out_again_is_left_as_it_is(slope, cut_px, to_px):
    one = wall(80.0, slope, cut_px=cut_px, to_px=to_px)
    here = 2 * float(np.interp(HEIGHT_PX, Z, one))
    assert found(outline(one, one), here).value == here


def test_a_row_that_stands_out_alone_is_no_wall():
    one = wall(80.0, -0.02)
    one[[360, 361]] += 20.0
    here = 2 * float(np.interp(HEIGHT_PX, Z, one))
    assert found(outline(one, one), here).value == pytest.approx(here, abs=0.1)


def test_of_a_width_that_is_not_known_nothing_is_made():
    reason = NotMeasured("too faint")
    assert uncut(reason, outline(wall(), wall()), 330.0, length_px=440.0, tip_px=440.0) is reason


def test_an_outline_that_ends_above_leaves_the_width_as_it_is():
    short = outline(wall(cut_px=6.0), wall(cut_px=6.0))
    kept = short.z_px < HEIGHT_PX
    short = replace(short, z_px=Z[kept], left_px=short.left_px[kept], right_px=short.right_px[kept])
    assert found(short, 148.0).value == 148.0
