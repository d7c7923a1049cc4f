"""How deep a connection reaches, told by the gap below a seated part."""

from dataclasses import replace

import numpy as np
import pytest

from features.bore import Bore
from features.connection_depth import connection_depth
from features.finding import Finding, Form
from features.quantity import NotMeasured, from_parts
from features.screw_gap import Gap
from features.top import Top
from tests.features.bodies_on_film import read
from tests.features.drawn_bodies import film, knots, rod
from tests.features.simulated_films import films
from tests.features.test_screw_gap import screwed

OPEN = NotMeasured("not looked at")
FULL = Bore(Finding("not assessable", 1.0, "it is filled"), OPEN, OPEN, OPEN, OPEN, OPEN)
SEEN = replace(FULL, finding=Finding("present", 0.9))
PLATFORM = from_parts(0.0, "px", edge=1.0)
SEATED, BARE, BALL = (Top(Form(state, 0.9), 1.0, 1.0) for state in ("covered", "nothing", "ball"))


def gap(narrows):
    return Gap(max(narrows - 0.05, 0.0), narrows, narrows, 0.6, 0.0, 100.0)


def tell(found, above=SEATED, channel=SEEN, *, platform=PLATFORM, faint=False):
    return connection_depth(found, above, channel, platform=platform, rim_px=100.0, faint=faint)


def tapped(radius_mm, pitch_mm, top_mm, end_mm):
    """Radius of a tapped channel's wall: 60° flats, a flat of P/4 on the crests (ISO 68-1)."""
    cut = 0.541266 * pitch_mm
    z = np.arange(top_mm, end_mm, pitch_mm / 40)
    turn = np.abs((z / pitch_mm) % 1 - 0.5) * 2  # 0 at a crest's middle, 1 at a root's
    return knots(*zip(z, radius_mm - cut * np.clip((0.875 - turn) / 0.625, 0, 1), strict=True))


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
    below, at, above = (tell(gap(limit + off)) for off in (-0.1, 0.001, 0.1))
    assert below.state != above.state
    assert min(below.probability, above.probability) > 0.9
    assert at.probability == pytest.approx(0.48, abs=0.02)


@pytest.mark.parametrize(
    ("found", "above", "channel", "faint", "why"),
    [
        (gap(0.3), BARE, SEEN, False, "not seen open"),
        (gap(0.3), BALL, SEEN, False, "belongs to the implant"),
        (None, SEATED, FULL, False, "no gap"),
        (None, SEATED, FULL, True, "burnt out"),
        (None, SEATED, replace(SEEN, tapped=0.9, clear=0.2), True, "burnt out"),
    ],
)
def test_it_is_not_said_without_a_part_without_a_gap_or_of_a_body_burnt_out(
    found, above, channel, faint, why
):
    form = tell(found, above, channel, faint=faint)
    assert form.state == "not assessable"
    assert why in form.reason


@pytest.mark.parametrize(
    ("begins", "space", "state"),
    [(0.02, 0.38, "none"), (0.02, 0.48, "shallow"), (0.2, 0.38, "shallow")],
)
def test_a_gap_from_the_platform_as_wide_as_the_screws_channel_is_that_channel(
    begins, space, state
):
    found = replace(gap(0.3), begins=begins, space=space)
    channel = replace(SEEN, width_px=from_parts(40.0, "px", wall=1.0))
    assert tell(found, channel=channel).state == state


def test_a_floor_is_no_surer_than_the_platform_it_is_counted_from():
    sure, less = (tell(gap(0.42), platform=from_parts(0.0, "px", edge=e)) for e in (1.0, 8.0))
    assert sure.state == less.state == "shallow"
    # 8 px of 100: one standard deviation from the limit, 84 in 100
    assert less.probability == pytest.approx(0.95 * 0.83, abs=0.02)
    assert sure.probability > 0.94


SEATED_BODY = knots((-4.0, 1.9), (-0.01, 1.9), (0.0, 2.0), (10.0, 2.0))


def test_an_empty_smooth_end_below_full_metal_says_that_there_is_no_screw():
    form = read(film(SEATED_BODY, channel=knots((3.5, 1.0), (5.5, 1.0)))).forms["connection_depth"]
    assert form.state == "no screw"
    assert form.probability > 0.8


def test_an_empty_tapped_end_below_full_metal_belongs_to_a_screw_from_the_platform():
    channel = tapped(1.0, 0.4, 3.5, 5.9)
    form = read(film(SEATED_BODY, channel=channel)).forms["connection_depth"]
    assert form.state == "none"
    assert form.probability > 0.6


@pytest.mark.parametrize(
    ("wall", "clear", "state"),
    [
        (0.1, 0.02, "no screw"),
        (0.9, 0.2, "none"),
        (0.9, 0.02, "not assessable"),
    ],
)
def test_a_tapped_end_on_a_film_that_shows_little_leaves_the_depth_open(wall, clear, state):
    assert tell(None, channel=replace(SEEN, tapped=wall, clear=clear)).state == state


@pytest.mark.parametrize(("space_mm", "state"), [(0.0, "none"), (1.3, "shallow"), (3.0, "deep")])
def test_an_open_channel_shows_how_far_down_it_has_space_for_a_part(space_mm, state):
    tap, space = tapped(0.9, 0.4, space_mm, 7.0), knots((0.0, 1.35), (space_mm, 1.35))
    channel = (lambda z: np.maximum(space(z), tap(z))) if space_mm else tap
    form = read(film(rod(), channel=channel)).forms["connection_depth"]
    assert form.state == state
    assert form.probability > 0.7


def test_an_open_smooth_well_takes_no_screw():
    form = read(film(rod(), channel=knots((0.0, 1.2), (5.0, 1.1)))).forms["connection_depth"]
    assert form.state == "no screw"


def test_simulated_connections_are_as_deep_as_read():
    told = [f.form("connection_depth") for f in films()]
    read_ones = [(true, state) for true, state in told if true and state != "not assessable"]
    assert len(read_ones) >= 6
    assert sum(true == state for true, state in read_ones) >= 0.8 * len(read_ones)
