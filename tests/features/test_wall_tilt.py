"""The beam's tilt from the walls alone, on screws seen at known tilts."""

from dataclasses import replace

import pytest

from features.helix import Helix, read_helix
from features.pitch import refine_pitch
from features.quantity import NotMeasured
from features.thread_search import search_thread
from features.threads import Thread
from features.wall_tilt import BESIDE_DEG, tilt_by_walls
from tests.features.bodies_on_film import followed, smooth, threaded

UNTOLD = NotMeasured("not told by the comb")


def told(film, starts):
    strip, outline, _ = followed(film)
    thread = refine_pitch(strip, outline, search_thread(strip, outline))
    helix = replace(read_helix(strip, outline, thread), starts={starts: 1.0}, tilt_deg=UNTOLD)
    return tilt_by_walls(strip, outline, thread, helix)


@pytest.mark.parametrize("tilt_deg", [-8.0, 0.0, 8.0])
def test_the_climb_of_both_walls_tells_the_tilt_to_a_step_of_the_search(tilt_deg):
    assert told(threaded(tilt_deg=tilt_deg), 1).value == pytest.approx(tilt_deg, abs=BESIDE_DEG)


def test_of_rings_only_the_size_is_told():
    found = told(threaded(starts=0, tilt_deg=-6.0), 0)
    assert found.value == pytest.approx(6.0, abs=BESIDE_DEG)


def test_without_a_thread_nothing_is_told():
    strip, outline, _ = followed(smooth())
    bare = Thread(NotMeasured("no thread"), 0.02)
    assert not tilt_by_walls(strip, outline, bare, Helix({1: 1.0}, UNTOLD))
