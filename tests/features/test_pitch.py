"""The pitch read anew: few turns, ends that run out, and a stated uncertainty that holds."""

import numpy as np
import pytest
from scipy import special

from features.outline import find_walls
from features.pitch import refine_pitch, slow_course
from features.quantity import NotMeasured, from_parts
from features.strip import Axis, Strip
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


def comb_on_a_strip(seed, *, runs_out=0.0, turns=6.3, pitch=20.0, noise=0.01):
    """Two soft walls that weave 1.5 px; over half a turn at either end they do not, by so much."""
    half, length = 50.0, turns * pitch
    z, t = np.arange(0.0, length), np.arange(-100.0, 101.0)
    from_end = np.minimum(z, length - z) / (pitch / 2)
    weave = 1.5 * (1 - runs_out * np.clip(1.4 - from_end, 0, 1)) * np.cos(2 * np.pi * z / pitch)
    depth = half - np.abs(t) + weave[:, None] * np.where(t < 0, 1, -1)
    grey = 0.3 + 0.5 * special.ndtr(depth / 1.5)
    grey += noise * np.random.default_rng(seed).standard_normal(grey.shape)
    strip = Strip(grey, np.ones(grey.shape, bool), z, t, Axis((0.0, 0.0), 0.0, length))
    outline = find_walls(strip, half)
    first = from_parts(pitch * 1.005, "px", edge=0.1)
    return refine_pitch(strip, outline, Thread(first, 0.9, from_px=0.0, to_px=length)).pitch_px


def test_whole_ends_are_read_and_those_that_run_out_are_not():
    """Half a turn more at either end tells half as much again (the bound goes as turns^1.5)."""
    whole = np.array([comb_on_a_strip(seed).value for seed in range(24)])
    short = np.array([comb_on_a_strip(seed, runs_out=1.0).value for seed in range(24)])
    # Rife and Boorstyn's bound (from memory) for one wave on two walls, its edge known to
    # 1.883 √(blur) noise / height of a row's px (Gatherer 1993)
    edge = 1.883 * np.sqrt(1.5) * 0.01 / 0.5
    bound = 0.551 * 20 / (6.3 * np.sqrt(2 * 126 * 1.5**2 / (2 * edge**2)))
    assert np.std(whole) < 1.2 * bound
    assert np.mean(whole) == pytest.approx(20.0, abs=bound)
    assert np.mean(short) == pytest.approx(20.0, abs=2 * bound)


def test_the_course_of_a_wall_is_found_under_its_thread():
    z = np.arange(0.0, 200.0)
    slow = 50 - 0.02 * z
    course = slow_course(z, slow + 2 * np.cos(2 * np.pi * z / 23) + (z > 190) * 5, 23.0)
    assert course == pytest.approx(slow, abs=0.1)
