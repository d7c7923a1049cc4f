"""The platform line and the neck below it."""

import re

import numpy as np
import pytest

from tests.features.bodies_on_film import MM_PER_PX as BENCH
from tests.features.bodies_on_film import read, threaded
from tests.features.drawn_bodies import MM_PER_PX, film, knots, rod
from tests.features.simulated_films import films

NECKS = {
    "flush": ((0, 2), (10, 2)),
    "flared": ((0, 2.4), (1.5, 2.05), (2, 2.0), (10, 2.0)),
    "back-tapered": ((0, 1.8), (1.0, 2.0), (10, 2.0)),
}


@pytest.mark.parametrize("neck", NECKS)
def test_a_drawn_neck_has_its_form_and_its_platform_width(neck):
    found = read(film(knots(*NECKS[neck])))
    assert found.forms["collar_form"].state == neck
    width = 2 * NECKS[neck][0][1]
    # Reached: 0.01 mm.
    assert found.measures["platform_width"].value * MM_PER_PX == pytest.approx(width, abs=0.03)


def test_a_rim_nearly_twice_as_wide_as_the_body_is_found():
    found = read(film(knots((0, 3.4), (1.2, 3.4), (1.5, 1.8), (10, 1.8))))
    assert found.forms["collar_form"].state == "flared"
    # Reached: 0.01 mm.
    assert found.measures["platform_width"].value * MM_PER_PX == pytest.approx(6.8, abs=0.03)


@pytest.mark.parametrize("key", ["length", "bore_depth", "collar_height"])
def test_the_less_a_joint_was_seen_the_wider_what_is_counted_from_it(key):
    body = threaded_and_bored()
    stds = [read(body, joint=joint).measures[key].std for joint in ("seen", "guessed", "hidden")]
    assert stds == sorted(set(stds))
    if key == "length":  # hidden: the click itself is all there is, 3 times 2 px
        assert stds[2] > 6.0


def threaded_and_bored():
    """A rod with V grooves every 0.8 mm from 2 mm down, and a channel."""
    z = np.linspace(0, 10, 2001)
    groove = 0.3 * np.abs((z / 0.8 + 0.5) % 1 * 2 - 1)
    outer = knots(*zip(z, 2.0 - np.where((z > 2) & (z < 9), groove, 0), strict=True))
    return film(outer, channel=knots((0.0, 1.0), (6.0, 1.0)))


def test_a_hidden_platform_stays_where_it_was_marked_and_a_note_says_so():
    found = read(film(rod()), joint="hidden")
    assert any("taken where it was marked" in note for note in found.notes)


def test_marks_farther_off_than_a_click_are_said_with_how_far():
    far = ((0.0, 12.0), (0.0, 12.0), (0.0, -14.0))
    notes = " ".join(read(film(rod(length_mm=12.0), length_mm=12.0), far).notes)
    assert "platform" in notes
    assert re.search(r"the apex was found 1[45] px farther apically than its mark", notes)
    near = read(film(rod(length_mm=12.0), length_mm=12.0)).notes
    assert not any("its mark" in note for note in near)


def test_collar_height_runs_from_the_platform_to_the_first_thread():
    height = read(threaded(pitch_mm=0.8)).measures["collar_height"]
    # The body's thread begins at 1.5 mm; where a helix "begins" is a matter of half a pitch.
    assert height.value * BENCH == pytest.approx(1.5, abs=0.4)
    assert height.interval[0] * BENCH < 1.5 < height.interval[1] * BENCH


def test_a_smooth_body_has_no_collar_height_but_a_reason():
    height = read(film(rod())).measures["collar_height"]
    assert not height
    assert "no thread" in height.reason


def test_a_body_threaded_up_to_its_platform_has_no_finer_thread():
    assert read(threaded()).findings["micro_threads"].state == "absent"


def test_a_coarse_film_does_not_deny_a_fine_thread():
    coarse = read(threaded(pitch_mm=1.2, mm_per_px=0.08))
    assert coarse.findings["micro_threads"].state == "not assessable"
    assert "too coarse" in coarse.findings["micro_threads"].reason


def test_collar_forms_of_simulated_films_are_mostly_right():
    told = [f.form("collar_form") for f in films()]
    assert sum(truth == state for truth, state in told) >= 19  # reached: 22 of 24


def test_fine_threads_of_simulated_films_are_found_and_none_invented():
    told = [f.finding("micro_threads") for f in films()]
    assert sum(state == "present" for shows, _, state in told if shows) >= 2  # reached: 3 of 3
    assert sum(state == "present" for _, there, state in told if not there) <= 1  # reached: 0


def test_platform_widths_of_simulated_films_are_within_3_percent():
    pairs = [f.measure("platform_width_mm") for f in films()]
    errors = np.array([m.value / truth - 1 for truth, m in pairs if m])
    assert len(errors) >= 20
    assert np.median(np.abs(errors)) < 0.01  # reached: 0.4 %
    assert np.abs(errors).max() < 0.06  # reached: 2.8 %
