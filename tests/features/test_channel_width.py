"""How wide the narrow part of a channel is."""

import numpy as np
import pytest

from features.channel_width import INDEX_ALONE, tapped_width
from tests.features.bodies_on_film import read
from tests.features.channel_strips import ABOVE_PX, empty_strip, round_dip
from tests.features.drawn_bodies import MM_PER_PX, film, knots, rod

BODY_PX = 130.0
ROWS = 260
Z = np.arange(ROWS) - float(ABOVE_PX)


def width(half_px, *, end_px, grain=0.0, depth=0.3, burnt=0.0):
    """Width of a channel given row by row, down to `end_px`."""
    dip = round_dip(np.where(end_px >= Z, half_px, 0.0), depth)
    dip = dip + grain * np.abs(np.random.default_rng(2).standard_normal(dip.shape))
    run, strip = (0.0, end_px), empty_strip(ROWS)
    return tapped_width(strip, dip, run, body_px=BODY_PX, top_px=0.0, burnt=burnt)[0]


def test_a_plain_channel_has_its_width():
    assert width(np.full(ROWS, 30.0), end_px=200.0).value == pytest.approx(60, abs=4.5)


def test_the_width_is_that_below_an_index():
    half = np.where(Z < 60, 45.0, 28.0)
    assert width(half, end_px=200.0).value == pytest.approx(56, abs=4.5)


def test_the_width_is_that_below_a_funnel():
    half = np.maximum(50 - 0.25 * Z, 28.0)
    assert width(half, end_px=220.0).value == pytest.approx(56, abs=4.5)


def test_the_width_of_a_tapped_wall_is_that_over_its_roots():
    half = 30 - 3 * np.abs((Z / 7) % 2 - 1)
    assert width(half, end_px=200.0).value == pytest.approx(60, abs=4.5)


def test_a_short_wide_part_may_be_the_index_alone_where_more_would_be_burnt_out():
    found = width(np.full(ROWS, 40.0), end_px=60.0, burnt=1.0)
    assert found.reason == INDEX_ALONE


def test_a_short_wide_part_with_a_flat_floor_is_a_well_but_unsure():
    found = width(np.full(ROWS, 40.0), end_px=60.0)
    assert found.value == pytest.approx(80, abs=6)
    assert found.std > 12


def rough_and_short(half_px, burnt):
    rough = np.where((Z // 5) % 3 > 0, 0.25, 0.3)[:, None]
    dip = round_dip(np.where(Z <= 80.0, half_px, 0.0), 1.0) * rough
    run, strip = (0.0, 80.0), empty_strip(ROWS)
    return tapped_width(strip, dip, run, body_px=BODY_PX, top_px=0.0, burnt=burnt)[0]


def test_a_rough_short_part_nearly_as_wide_as_the_body_may_be_the_index_alone():
    assert rough_and_short(48.0, burnt=0.1).reason == INDEX_ALONE


def test_with_a_flat_floor_in_metal_nowhere_burnt_out_it_is_a_well_but_unsure():
    found = rough_and_short(48.0, burnt=0.0)
    assert found.value == pytest.approx(96, abs=6)
    assert found.std > 15


@pytest.mark.parametrize(("from_px", "told"), [(0.0, False), (40.0, True)])
def test_an_open_wide_short_part_that_ends_in_a_cone_may_be_the_index_alone(from_px, told):
    rough = np.where((Z // 5) % 3 > 0, 0.25, 0.3)[:, None]
    dip = round_dip(np.clip(48 + 1.5 * (110 - Z), 0, 48), 1.0) * rough
    run = (from_px, 110.0)
    found = tapped_width(empty_strip(ROWS), dip, run, body_px=BODY_PX, top_px=0.0)[0]
    assert bool(found) == told
    assert found or found.reason == INDEX_ALONE


@pytest.mark.parametrize(("burnt", "told"), [(0.4, True), (0.9, False)])
def test_a_drills_point_says_that_a_short_part_is_not_the_index_alone(burnt, told):
    half = np.where(Z < 90, 34.0, 34.0 * np.clip(1 - (Z - 90) / (0.3 * 68), 0, 1))
    dip = round_dip(half, 1.0) * (half / 34.0 * 0.3)[:, None]
    run, strip = (0.0, 90.0), empty_strip(ROWS)
    found = tapped_width(strip, dip, run, body_px=BODY_PX, top_px=0.0, burnt=burnt)[0]
    assert bool(found) == told
    assert found or found.reason == INDEX_ALONE


def test_an_index_above_a_narrow_part_too_uneven_to_read_is_not_taken_for_it():
    half = np.where(Z < 100, 45.0, 28.0 - 0.5 * (Z - 100))
    found = width(half, end_px=130.0)
    assert "narrow part" in found.reason


def test_the_roots_of_the_bodys_thread_leave_the_channel_its_width():
    dip = round_dip(np.full(ROWS, 30.0), 0.1)
    dip[:, np.abs(empty_strip(ROWS).t_px) > 0.40 * BODY_PX] = 0.4
    found = tapped_width(empty_strip(ROWS), dip, (0.0, 200.0), body_px=BODY_PX, top_px=0.0)[0]
    assert found.value == pytest.approx(60, abs=4.5)


def test_a_hole_that_crosses_the_channel_does_not_widen_it():
    half = np.where((Z > 130) & (Z < 190), 50.0, 28.0)
    half = np.where(Z >= 190, 46.0, half)
    assert width(half, end_px=230.0).value == pytest.approx(56, abs=4.5)


def test_a_stump_in_the_channel_is_no_narrower_part_of_it():
    dip = round_dip(np.full(ROWS, 30.0), 0.3)
    dip[(Z > 80) & (Z < 140)] = round_dip([12.0], 0.02)
    found = tapped_width(empty_strip(ROWS), dip, (0.0, 220.0), body_px=BODY_PX, top_px=0.0)[0]
    assert found.value == pytest.approx(60, abs=4.5)


def test_a_faint_channel_is_less_sure():
    clear, faint = (width(np.full(ROWS, 30.0), end_px=200.0, depth=depth) for depth in (0.3, 0.02))
    assert faint.std > 3 * clear.std


def test_grain_is_not_a_channel():
    found = width(np.zeros(ROWS), end_px=200.0, grain=0.02)
    assert not found


def test_a_drawn_channel_below_an_index_is_as_wide_as_drawn():
    found = read(film(rod(), channel=knots((0.0, 1.4), (2.0, 1.4), (2.01, 0.9), (6.0, 0.9))))
    assert found.measures["bore_width"].value * MM_PER_PX == pytest.approx(1.8, abs=0.12)


def test_a_drawn_index_alone_in_burnt_out_metal_has_neither_width_nor_depth():
    pixels, truth = film(rod(), channel=knots((0.0, 1.3), (2.0, 1.3)))
    found = read((np.clip(1.06 * pixels, 0, 1), truth)).measures
    assert found["bore_width"].reason == INDEX_ALONE
    assert found["bore_depth"].reason == INDEX_ALONE
