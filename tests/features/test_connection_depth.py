"""How deep a connection reaches, told by the gap below a seated part."""

import pytest

from features.connection_depth import connection_depth
from features.finding import Finding, Form
from features.screw_gap import Gap
from features.top import Top
from tests.features.bodies_on_film import read
from tests.features.drawn_bodies import film, knots, rod
from tests.features.simulated_films import films
from tests.features.test_screw_gap import screwed

SEEN, FULL = Finding("present", 0.9), Finding("not assessable", 1.0, "it is filled")
SEATED, BARE = (Top(Form(state, 0.9), 1.0, 1.0) for state in ("covered", "nothing"))


def gap(narrows):
    return Gap(max(narrows - 0.05, 0.0), narrows, narrows, 0.6, 0.0, 100.0)


@pytest.mark.parametrize(
    ("gaps", "state"),
    [
        ([(0.35 * turn, 0.35 * turn + 0.15, 0.85) for turn in range(8)], "none"),
        ([(1.2, 1.5, 1.25)], "shallow"),
        ([(2.6, 2.9, 1.2)], "deep"),
    ],
)
def test_a_drawn_connection_is_as_deep_as_it_was_drawn(gaps, state):
    form = read(screwed(*gaps)).forms["connection_depth"]
    assert form.state == state
    assert form.probability > 0.8


@pytest.mark.parametrize("limit", [0.15, 0.5])
def test_near_a_limit_it_is_as_sure_of_the_one_side_as_of_the_other(limit):
    below, at, above = (
        connection_depth(gap(limit + off), SEATED, SEEN, faint=False) for off in (-0.1, 0.001, 0.1)
    )
    assert below.state != above.state
    assert min(below.probability, above.probability) > 0.9
    assert at.probability == pytest.approx(0.48, abs=0.02)


@pytest.mark.parametrize(
    ("found", "above", "channel", "faint", "why"),
    [
        (gap(0.3), BARE, SEEN, False, "nothing is seen seated"),
        (None, SEATED, FULL, False, "no gap"),
        (None, SEATED, SEEN, True, "burnt out"),
    ],
)
def test_it_is_not_said_without_a_part_without_a_gap_or_of_a_body_burnt_out(
    found, above, channel, faint, why
):
    form = connection_depth(found, above, channel, faint=faint)
    assert form.state == "not assessable"
    assert why in form.reason


def test_an_empty_end_below_full_metal_says_that_there_is_no_screw():
    seated = knots((-4.0, 1.9), (-0.01, 1.9), (0.0, 2.0), (10.0, 2.0))
    form = read(film(seated, channel=knots((3.5, 1.0), (5.5, 1.0)))).forms["connection_depth"]
    assert form.state == "no screw"


def test_an_open_body_has_its_channel_to_tell_instead():
    form = read(film(rod(), channel=knots((0.0, 1.0), (6.0, 1.0)))).forms["connection_depth"]
    assert form.state == "not assessable"


def test_simulated_connections_are_as_deep_as_read():
    told = [f.form("connection_depth") for f in films()]
    read_ones = [(true, state) for true, state in told if true and state != "not assessable"]
    assert len(read_ones) >= 6
    assert sum(true == state for true, state in read_ones) >= 0.8 * len(read_ones)
