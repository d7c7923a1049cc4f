"""Solid metal under a seated part, or a channel of which something shows."""

import pytest

from features.finding import Finding, Form
from features.solid import solid_finding
from features.top import Top
from tests.features.simulated_films import films

COVERED, BARE = (Top(Form(state, 0.9), 1.0, 1.0) for state in ("covered", "nothing"))
SEEN = Finding("present", 0.9)
NOT_SEEN = Finding("not assessable", 1.0, "something is seated on the platform")


@pytest.mark.parametrize(
    ("channel", "above", "gapped", "faint", "state"),
    [
        (SEEN, COVERED, False, False, "absent"),
        (NOT_SEEN, COVERED, False, False, "present"),
        (NOT_SEEN, COVERED, True, False, "absent"),
        (NOT_SEEN, COVERED, False, True, "not assessable"),
        (SEEN, BARE, False, False, "not assessable"),
    ],
)
def test_solid_is_said_of_a_covered_body_in_which_nothing_shows(
    channel, above, gapped, faint, state
):
    found = solid_finding(channel, above, gapped=gapped, faint=faint)
    assert found.state == state
    assert bool(found.reason) == (state != "absent")


def test_covered_simulated_bodies_with_a_channel_are_hardly_ever_called_solid():
    covered = [f for f in films() if f.form("top_form")[0] == "covered"]
    holed = [f.finding("solid")[2] for f in covered if f.truth["findings"]["bore"]["there"]]
    assert len(holed) >= 8
    assert holed.count("present") <= 1
