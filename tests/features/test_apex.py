"""Where the far end lies, and its form."""

import numpy as np
import pytest
from scipy import special

from features.apex import find_end, find_tip
from features.body import find_body
from features.span import length as length_of
from features.strip import Axis, Strip
from tests.features.bodies_on_film import EXACT, ROUGH, followed, half_turned, mark, read
from tests.features.drawn_bodies import MM_PER_PX, film, knots, rod, rounded
from tests.features.simulated_films import films

ENDS = {
    "flat": rod(),
    "flat, with a small chamfer": knots((0.0, 2.0), (9.6, 2.0), (10.0, 1.7)),
    "dome, half a sphere": rounded(4.0, 10.0, 2.0),
    "dome, half as deep": rounded(4.0, 10.0, 1.0),
    "pointed": rounded(4.0, 10.0, 3.0, power=1.0),
}


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("seen", [lambda f: f, half_turned])
def test_the_form_of_a_drawn_end_is_told_either_way_up(end, seen):
    form = read(seen(film(ENDS[end]))).forms["apex_form"]
    assert form.state == end.split(",", maxsplit=1)[0]
    assert form.probability > 0.6


def test_a_tube_open_below_is_open():
    tube = film(rod(), channel=knots((4.0, 1.5), (10.1, 1.5)))
    assert read(tube).forms["apex_form"].state == "open"


@pytest.mark.parametrize("end", [end for end in ENDS if end != "pointed"])
def test_the_length_of_a_drawn_body_lies_in_its_interval(end):
    by_hand, held = (
        length_of(find_body(pixels.astype(np.float32), mark(truth), holder=holder)[0])
        for pixels, truth in [film(ENDS[end])]
        for holder in (False, True)
    )
    # Reached: 0.056 mm where the beam is known to be about square; a flat end's overhang on a
    # beam up to a few degrees off is taken off all the same.
    assert held.value * MM_PER_PX == pytest.approx(10.0, abs=0.06)
    for length in (by_hand, held):
        assert length.interval[0] * MM_PER_PX < 10.0 < length.interval[1] * MM_PER_PX


def test_the_tip_does_not_follow_the_click():
    picture = film(rod())
    off = [ROUGH, EXACT, ((0, 0), (0, 0), (3, 6)), ((0, 0), (0, 0), (-4, -5))]
    rows = []
    for moves in off:
        strip, outline, _ = followed(picture, moves)
        rows.append(strip.axis.to_film(find_tip(strip, outline).value, 0.0)[1])
    assert np.ptp(rows) < 0.3  # px; the clicks lie 11 px apart


def test_an_end_outside_the_film_is_not_guessed():
    pixels, truth = film(rod())
    cut = pixels[: round(truth["apex"][1]) - 1]
    length = read((cut, truth | {"apex": (truth["apex"][0], len(cut) - 2.0)}), EXACT)
    assert not length.measures["length"]
    assert "outside the film" in length.measures["length"].reason


def test_no_end_stands_out_of_even_grey():
    strip, _, _ = followed(film(rod()))
    flat = strip.pixels.copy()
    strip.pixels[:] = 0.5
    nothing = find_end(
        strip, ((-5.0, 5.0),), near_px=strip.axis.length_px, toward=1.0, click_px=2.0
    )
    strip.pixels[:] = flat
    assert not nothing
    assert "edge" in nothing.reason


def test_apex_forms_of_simulated_films_are_mostly_right_and_open_ends_always():
    told = [f.form("apex_form") for f in films()]
    # Reached: 21 of 24; the three misses are domes called flat.
    assert sum(truth == state for truth, state in told) >= 18
    assert all(state == "open" for truth, state in told if truth == "open")
    assert all(truth == "open" for truth, state in told if state == "open")


def stepped_end(*ends_px):
    """A strip whose grey falls by the same step at every given height."""
    z, t = np.arange(-20.0, 200.0), np.arange(-30.0, 31.0)
    levels = sum(special.ndtr((end - z) / 1.5) for end in ends_px)
    grey = 0.2 + 0.6 / len(ends_px) * np.broadcast_to(np.asarray(levels)[:, None], (220, 61))
    return Strip(grey, np.ones(grey.shape, bool), z, t, Axis((0.0, 0.0), 0.0, 150.0))


def end_of(strip):
    return find_end(strip, ((-5.0, 5.0),), near_px=150.0, toward=1.0, click_px=3.0)


def test_two_edges_beside_a_mark_make_the_end_as_uncertain_as_they_are_apart():
    one, two = end_of(stepped_end(153.0)), end_of(stepped_end(139.0, 160.0))
    assert "other_edge" not in dict(one.parts)
    assert 5.0 < dict(two.parts)["other_edge"] < 21.0
    assert min(abs(two.value - end) for end in (139.0, 160.0)) < 1.0
