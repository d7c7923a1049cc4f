"""How far down an open channel is wider than where its screw turns."""

import numpy as np
import pytest

from features.channel_floor import wide_to


def channel(*parts):
    """Rows of half widths, px: (rows, first, last) of each part, with a little noise."""
    half = np.concatenate([np.linspace(first, last, rows) for rows, first, last in parts])
    return half + np.random.default_rng(1).normal(0.0, 0.3, len(half))


def told(half):
    return wide_to(np.arange(len(half), dtype=float), half)


@pytest.mark.parametrize(
    ("parts", "floor"),
    [
        (((10, 45, 38), (50, 36, 36), (110, 28, 28)), 60),  # bevel, index, tap
        (((80, 45, 34), (90, 28, 28)), 80),  # a cone, then the tap
        (((15, 34, 34), (150, 28, 28)), 15),  # a short counterbore
    ],
)
def test_the_space_for_a_part_ends_where_the_screws_channel_begins(parts, floor):
    assert told(channel(*parts)) == pytest.approx(floor, abs=3)


def test_a_channel_of_one_width_has_no_space_for_a_part():
    assert told(channel((160, 28, 28))) == 0.0


def test_a_drills_point_is_not_the_channel_a_screw_turns_in():
    with_point = channel((50, 36, 36), (90, 28, 28), (12, 28, 4))
    assert told(with_point) == pytest.approx(50, abs=3)


def test_a_fine_film_is_told_as_well():
    z, half = np.arange(480.0), channel((150, 108, 108), (330, 84, 84))
    assert wide_to(z, half) == pytest.approx(150, abs=6)


def test_too_few_rows_tell_nothing():
    assert told(channel((8, 30, 30))) is None
