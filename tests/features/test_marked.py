"""What was found and what was marked, joined."""

import pytest

from features.marked import joined, meet
from features.quantity import from_parts


def at(value, std, name="edge"):
    return from_parts(value, "px", **{name: std})


def join(found, marked, *, stray=0.05):
    return joined(found, marked, meet(found, marked, stray=stray))


def test_two_that_agree_count_by_how_sure_they_are():
    both = join(at(1.0, 1.0), at(0.0, 2.0, "marks"), stray=0.0)
    assert both.value == pytest.approx(0.8, abs=0.01)  # 4 parts of 5; the mark may have slipped
    assert both.std == pytest.approx((4 / 5) ** 0.5, rel=0.02)  # of two independent values


def test_the_farther_a_found_edge_lies_from_its_mark_the_less_it_counts():
    shares = [meet(at(far, 1.0), at(0.0, 2.0), stray=0.05).share for far in (0, 4, 8, 20)]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.79
    assert shares[3] < 0.01


@pytest.mark.parametrize(("stray", "counts"), [(0.02, True), (0.4, False)])
def test_beside_the_one_edge_nearby_a_mark_far_off_has_slipped(stray, counts):
    """Eight pixels: farther than a careful hand is off, and as far as a hurried one may be."""
    meeting = meet(at(8.0, 1.0), at(0.0, 2.0, "marks"), stray=stray)
    assert (meeting.share > 0.5) is counts
    low, high = joined(at(8.0, 1.0), at(0.0, 2.0, "marks"), meeting).interval
    assert high > 8.0 if counts else low < 0.0


def test_where_it_is_open_which_of_both_is_meant_the_interval_reaches_both():
    found, marked = at(7.0, 0.5), at(0.0, 2.0, "marks")
    meeting = meet(found, marked, stray=0.05)
    assert 0.2 < meeting.doubt < 0.8
    low, high = joined(found, marked, meeting).interval
    assert low < marked.value < found.value < high
    assert "other_edge" in dict(joined(found, marked, meeting).parts)


def test_what_may_lie_between_both_is_no_reason_to_doubt():
    found, marked = at(8.0, 0.5), at(0.0, 2.0)
    bare = meet(found, marked, stray=0.05)
    tilted = meet(found, marked, stray=0.05, besides_px=5.0)
    assert tilted.doubt < 0.2 * bare.doubt


def test_something_else_is_never_found_where_it_cannot_be():
    assert meet(at(500.0, 0.1), at(0.0, 0.1), stray=0.0).doubt == 0.0
