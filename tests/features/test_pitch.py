"""The pitch read anew: few turns, ends that run out, and a stated uncertainty that holds."""

import pytest

from features.pitch import refine_pitch
from features.quantity import NotMeasured
from features.thread_search import search_thread
from features.threads import Thread
from tests.features.bodies_on_film import MM_PER_PX, followed, threaded


def refined(film):
    strip, outline, _ = followed(film)
    return refine_pitch(strip, outline, search_thread(strip, outline))


@pytest.mark.parametrize("length_mm", [5.4, 7.0, 10.0])
def test_few_turns_give_the_pitch_within_its_interval(length_mm):
    pitch = refined(threaded(length_mm=length_mm)).pitch_px
    assert pitch.value * MM_PER_PX == pytest.approx(0.8, rel=0.01)  # 3.6 turns at the least
    assert pitch.interval[0] * MM_PER_PX < 0.8 < pitch.interval[1] * MM_PER_PX


def test_fewer_turns_are_known_less_well():
    few, many = (refined(threaded(length_mm=length)).pitch_px for length in (5.4, 10.0))
    assert few.std > many.std


def test_the_crests_keep_to_the_new_pitch():
    thread = refined(threaded())
    apart = [b - a for a, b in zip(thread.crests_left_px, thread.crests_left_px[1:], strict=False)]
    assert apart == pytest.approx([thread.pitch_px.value] * len(apart))


def test_without_a_thread_nothing_is_read():
    strip, outline, _ = followed(threaded())
    none = Thread(NotMeasured("smooth"), 0.1)
    assert refine_pitch(strip, outline, none) is none
