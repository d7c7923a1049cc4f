"""From where to where a channel is seen."""

import numpy as np
import pytest

from features.channel_rows import LEAST_SEEN, SEEN, channel_rows, row_dip, seen_at
from tests.features.channel_strips import ABOVE_PX, empty_strip, round_dip

TIP_PX = 300.0
ROWS = ABOVE_PX + 310
Z = np.arange(ROWS) - float(ABOVE_PX)


def found(dips, threshold=0.02, half_px=30.0, held_px=0.0):
    """Ends of what is seen of a channel; `held_px`: half of what stands in its middle."""
    strip = empty_strip(ROWS)
    dip = round_dip(np.broadcast_to(half_px, ROWS)) * np.asarray(dips, float)[:, None]
    dip[np.abs(strip.t_px) < np.broadcast_to(held_px, ROWS)[:, None]] = 0.0
    rows = row_dip(strip, dip, 130.0)
    part = channel_rows(strip, dip, rows, threshold, body_px=130.0, ends_px=(0.0, TIP_PX))
    return part and (part.first_px, part.last_px)


def between(*parts):
    """Dip of each (from, to, dip), 0 elsewhere."""
    return sum(np.where((a <= Z) & (b >= Z), dip, 0.0) for a, b, dip in parts)


def test_the_dip_of_a_row_is_that_near_the_axis():
    dips = row_dip(empty_strip(80), round_dip(np.full(80, 30.0), 0.3), 130.0)
    assert dips[40] == pytest.approx(0.3, abs=0.02)


def test_a_dip_on_one_side_alone_is_no_channel():
    strip = empty_strip(80)
    dip = np.zeros((80, len(strip.t_px)))
    dip[:, (strip.t_px > 15) & (strip.t_px < 40)] = 0.3
    assert row_dip(strip, dip, 130.0).max() < 0.01


@pytest.mark.parametrize(("dip", "at"), [(0.0, LEAST_SEEN), (0.005, 0.023), (0.5, SEEN)])
def test_a_dip_is_seen_above_what_the_body_shows_everywhere(dip, at):
    assert seen_at(empty_strip(ROWS), np.full(ROWS, dip), 0.0, TIP_PX) == pytest.approx(at)


def test_an_even_body_has_no_channel():
    assert found(np.zeros(ROWS)) is None


@pytest.mark.parametrize("end_px", [60.0, 150.0])
def test_a_channel_is_seen_from_end_to_end(end_px):
    assert found(between((2, end_px, 0.2))) == pytest.approx(
        (2, end_px), abs=3
    )  # the rows are smoothed


def test_the_empty_end_below_a_screw_is_a_channel():
    assert found(between((150, 190, 0.1))) == pytest.approx(
        (150, 190), abs=3
    )  # the rows are smoothed


def test_the_empty_end_below_a_long_screw_starts_far_down():
    assert found(between((210, 250, 0.1))) == pytest.approx((210, 250), abs=3)


def test_a_hole_far_below_grain_is_no_channel():
    assert found(between((40, 70, 0.025), (210, 250, 0.2))) == pytest.approx((40, 70), abs=3)


def test_what_lies_below_the_floor_of_a_thin_walled_body_is_another_hole():
    # a wall so thin holds no screw that could have broken
    assert found(between((2, 90, 0.6), (160, 220, 0.3))) == pytest.approx((2, 90), abs=3)


def test_a_hole_near_the_apex_is_no_channel():
    assert found(between((240, 280, 0.6))) is None
    assert found(between((2, 100, 0.2), (240, 280, 0.6))) == pytest.approx(
        (2, 100), abs=3
    )  # the rows are smoothed


def test_what_runs_on_to_the_apex_is_no_channel():
    assert found(between((130, 300, 0.3))) is None


def test_grain_high_up_gives_way_to_what_is_far_emptier():
    assert found(between((2, 30, 0.025), (130, 170, 0.2))) == pytest.approx(
        (130, 170), abs=3
    )  # the rows are smoothed


def test_the_empty_end_below_a_broken_screw_belongs_to_the_open_channel():
    assert found(between((2, 90, 0.2), (160, 220, 0.15))) == pytest.approx((2, 220), abs=3)


def test_a_tap_below_a_stump_may_be_narrower_than_the_index_above_it():
    half = np.where(Z < 110, 34.0, 21.0)
    seen = found(between((2, 110, 0.2), (165, 240, 0.12)), half_px=half)
    assert seen == pytest.approx((2, 240), abs=3)


@pytest.mark.parametrize(("dip", "half_px"), [(0.03, 30.0), (0.15, np.where(Z < 130, 20.0, 40.0))])
def test_what_is_much_fainter_or_wider_below_an_open_channel_does_not(dip, half_px):
    seen = found(between((2, 90, 0.2), (160, 220, dip)), half_px=half_px)
    assert seen == pytest.approx((2, 90), abs=3)


def test_a_narrower_part_far_below_an_open_channel_is_another_hole():
    half = np.where(Z < 110, 30.0, 14.0)
    seen = found(between((2, 90, 0.2), (160, 220, 0.15)), half_px=half)
    assert seen == pytest.approx((2, 90), abs=3)


def test_a_tap_below_a_stump_that_breaks_right_below_the_index_is_fainter_as_it_is_narrower():
    half = np.where(Z < 110, 44.0, 24.0)
    seen = found(between((2, 110, 0.2), (150, 190, 0.2 * 24 / 44 * 0.8)), half_px=half)
    assert seen == pytest.approx((2, 190), abs=3)


def test_a_well_has_no_screw_that_breaks():
    # as wide, but far fainter for that: a hole across the body below it, seen from the side
    seen = found(between((2, 90, 0.3), (130, 200, 0.13)), half_px=40.0)
    assert seen == pytest.approx((2, 90), abs=3)


def test_the_gap_round_a_screw_is_not_the_empty_end_below_it():
    held = np.where(Z < 100, 14.0, 0.0)
    seen = found(between((10, 80, 0.2), (160, 220, 0.1)), held_px=held)
    assert seen == pytest.approx((160, 220), abs=3)


@pytest.mark.parametrize("dip", [0.15, 0.8])
def test_two_holes_with_metal_between_them_do_not_belong_to_a_channel(dip):
    held = np.where(Z > 120, 14.0, 0.0)
    seen = found(between((2, 90, 0.2), (130, 170, dip)), held_px=held)
    assert seen == pytest.approx((2, 90), abs=3)


@pytest.mark.parametrize(("dip", "end_px"), [(0.18, 245), (0.3, 150)])
def test_far_down_a_channel_goes_on_below_the_shadow_of_a_hole_if_it_is_the_same(dip, end_px):
    seen = found(between((2, 150, 0.2), (200, 245, dip)))
    assert seen == pytest.approx((2, end_px), abs=3)


def test_a_hole_that_runs_on_to_the_apex_is_not_the_channel_below_a_break():
    slanted = between((2, 90, 0.2), (160, 300, 0.15))
    assert found(slanted) == pytest.approx((2, 90), abs=3)
