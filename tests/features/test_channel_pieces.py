"""Which rows that dip hang together."""

import numpy as np
import pytest

from features.channel_pieces import pieces

BODY = 130.0
Z = np.arange(300)


def found(*parts, mouth=0):
    """Ends of the pieces among rows with each (from, to, dip), seen where they dip at all."""
    dips = sum(np.where((first <= Z) & (last >= Z), dip, 0.0) for first, last, dip in parts)
    return [(gap[0], gap[-1]) for gap in pieces(dips > 0, dips, BODY, mouth=mouth)]


def test_what_is_apart_are_two():
    assert found((5, 80, 0.2), (120, 180, 0.1)) == [(5, 80), (120, 180)]


@pytest.mark.parametrize(
    ("dip", "ends"), [(0.02, [(5, 120), (151, 220)]), (0.06, [(5, 220)])], ids=["metal", "tap"]
)
def test_a_channel_and_a_hole_that_touch_are_parted_by_the_metal_between_them(dip, ends):
    assert found((5, 120, 0.3), (121, 150, dip), (151, 220, 0.4), mouth=10) == ends


def test_a_faint_tap_between_an_index_and_a_hole_is_too_tall_for_metal_between_two():
    assert found((5, 60, 0.4), (61, 160, 0.03), (161, 220, 0.4), mouth=10) == [(5, 220)]


def test_an_index_far_emptier_than_the_tap_below_it_belongs_to_it():
    assert found((5, 60, 0.5), (61, 200, 0.02), mouth=10) == [(5, 200)]


@pytest.mark.parametrize("mouth", [10, 60])
def test_grain_above_and_below_the_empty_end_of_a_channel_is_left_out(mouth):
    ends = found((20, 119, 0.012), (120, 180, 0.2), (181, 260, 0.012), mouth=mouth)
    assert ends == ([(120, 180)] if mouth == 10 else [(20, 260)])


def test_the_short_faint_end_of_a_cone_is_no_grain():
    assert found((120, 180, 0.2), (181, 200, 0.012)) == [(120, 200)]
