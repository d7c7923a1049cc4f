"""Whether an opening's wall is a bevel's or a long one."""

from dataclasses import replace

import numpy as np
import pytest

from features.finding import Form
from features.opening_wall import opening_wall
from features.top import Top
from tests.features.bodies_on_film import read
from tests.features.drawn_bodies import film, knots, rod
from tests.features.simulated_films import films
from tests.features.test_connection_depth import SEEN

OPEN, SEATED = (Top(Form(state, 0.9), 1.0, 1.0) for state in ("nothing", "covered"))


def tell(straight_to_px, above=OPEN):
    return opening_wall(above, replace(SEEN, straight_to_px=straight_to_px), rim_px=100.0)


def test_farther_down_than_a_bevel_the_wall_is_long():
    assert (tell(9.0).state, tell(40.0).state) == ("short", "long")
    assert min(tell(9.0).probability, tell(40.0).probability) > 0.85


def test_at_the_limit_it_is_as_likely_the_one_as_the_other():
    assert tell(18.0).probability == pytest.approx(0.475, abs=0.01)
    assert tell(17.0).state != tell(19.0).state


@pytest.mark.parametrize(("straight", "above"), [(None, OPEN), (40.0, SEATED)])
def test_it_is_not_told_where_the_opening_is_not_seen_empty(straight, above):
    assert tell(straight, above).state == "not assessable"


@pytest.mark.parametrize(
    ("channel", "state"),
    [
        (knots((0.0, 1.5), (0.4, 1.2), (2.0, 1.2), (2.01, 0.9), (6.0, 0.9)), "short"),
        (knots((0.0, 1.5), (2.2, 1.2), (2.21, 0.9), (6.0, 0.9)), "long"),
    ],
)
def test_a_drawn_bevel_is_short_and_a_drawn_cone_long(channel, state):
    form = read(film(rod(), channel=channel)).forms["opening_wall"]
    assert form.state == state
    assert form.probability > 0.7


def test_simulated_openings_are_as_they_were_made():
    told = [f.form("opening_wall") for f in films()]
    read_ones = [true == state for true, state in told if true and state != "not assessable"]
    assert len(read_ones) >= 6
    assert np.mean(read_ones) >= 0.8
