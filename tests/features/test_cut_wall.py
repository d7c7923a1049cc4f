"""Outlines given as numbers: a wall cut at one height comes out again below it."""

import numpy as np
import pytest

from features.cut_wall import uncut
from features.outline import Outline
from features.quantity import NotMeasured, from_parts

HEIGHT_PX, REACH_PX, TIP_PX = 330.0, 16.0, 440.0
AROUND = (HEIGHT_PX - REACH_PX, HEIGHT_PX + REACH_PX)
Z = np.arange(0.0, TIP_PX)


def outline(left, right):
    return Outline(Z, left, right, np.ones_like(Z), np.ones_like(Z), 0.01)


def wall(at_platform_px=80.0, slope=0.0, *, cut_px=0.0, to_px=390.0):
    return at_platform_px + slope * Z - cut_px * ((Z > 280.0) & (to_px > Z))


def found(walls, width_px, std_px=1.0):
    return uncut(from_parts(width_px, "px", edge=std_px), walls, AROUND, tip_px=TIP_PX)


def here(one):
    return 2 * float(np.interp(HEIGHT_PX, Z, one))


@pytest.mark.parametrize(("left_px", "right_px"), [(6.0, 6.0), (6.0, 0.0), (0.0, 6.0)])
def test_a_rod_is_as_wide_where_it_is_cut_as_beside_it(left_px, right_px):
    cut = outline(wall(cut_px=left_px), wall(cut_px=right_px))
    mended = found(cut, 160.0 - left_px - right_px)
    assert mended.value == pytest.approx(160.0)
    assert dict(mended.parts)["cut_wall"] == pytest.approx((left_px + right_px) / 2)
    assert dict(mended.parts)["edge"] == 1.0


def test_of_a_tapered_body_the_narrower_side_is_the_least_it_can_be():
    cut = outline(wall(90.0, -0.05, cut_px=8.0), wall(90.0, -0.05, cut_px=8.0))
    mended = found(cut, 2 * (90.0 - 0.05 * HEIGHT_PX) - 16.0)
    assert mended.value == pytest.approx(2 * (90.0 - 0.05 * 390.0), abs=0.5)


def changed(one, *rows):
    """A wall with `rows` of it, each (from, to, px), farther out."""
    for from_px, to_px, out_px in rows:
        one = one + out_px * ((from_px < Z) & (to_px > Z))
    return one


@pytest.mark.parametrize(
    "one",
    [
        pytest.param(wall(80.0, -0.05), id="narrows evenly"),
        pytest.param(wall(80.0, 0.03), id="widens evenly"),
        pytest.param(wall(80.0, -0.02, cut_px=6.0, to_px=TIP_PX), id="steps down to its end"),
        pytest.param(changed(wall(80.0, -0.02), (355, 359, 20.0)), id="a few rows stick to bone"),
        pytest.param(changed(wall(slope=-0.02), (425, 440, 9.0)), id="a lip at the tip"),
        pytest.param(
            changed(wall(70.0), (0, 190, 10.0), (360, 400, 10.0)), id="wide only far above"
        ),
    ],
)
def test_a_wall_that_does_not_come_out_again_is_left_as_it_is(one):
    assert found(outline(one, one), here(one)).value == here(one)


@pytest.mark.parametrize("slope", [0.0, -0.02, -0.06])
def test_an_outline_that_scatters_says_nothing_of_a_cut(slope):
    rng = np.random.default_rng(1)
    for _ in range(40):
        left, right = (wall(80.0, slope) + 0.5 * rng.standard_normal(len(Z)) for _ in range(2))
        width = here(wall(80.0, slope))
        assert found(outline(left, right), width).value == width


def test_of_a_width_that_is_not_known_nothing_is_made():
    reason = NotMeasured("too faint")
    assert uncut(reason, outline(wall(), wall()), AROUND, tip_px=TIP_PX) is reason


def test_an_outline_that_ends_above_leaves_the_width_as_it_is():
    rows = Z < HEIGHT_PX
    left, right, bright = wall(cut_px=6.0)[rows], wall(cut_px=6.0)[rows], np.ones(rows.sum())
    assert found(Outline(Z[rows], left, right, bright, bright, 0.01), 148.0).value == 148.0
