"""Whole turns told from halves and thirds, on edges drawn as formulas."""

from dataclasses import replace

import numpy as np
import pytest

from features.quantity import from_parts
from features.whole_turns import whole_turns
from tests.features.drawn_edges import PITCH, Z, outline, thread, wave


def ridges(pitch, phase=0.0):
    """Narrow crests over wide, flat valleys."""
    place = (Z / pitch - phase) % 1.0 - 0.5
    return 60 + 6 * np.exp(-0.5 * (place / 0.12) ** 2)


@pytest.mark.parametrize("turns", [2, 3])
def test_a_pitch_read_at_a_part_of_a_turn_is_put_right_by_the_edge(turns):
    pitch = 60.0
    part = replace(thread(), pitch_px=from_parts(pitch / turns, "px", edge=0.1))
    found = whole_turns(part, outline(ridges(pitch), ridges(pitch, 0.5)))
    assert found.pitch_px.value == pytest.approx(pitch, rel=0.02)


def mixed(share, phase=0.0):
    """A wave of a turn of 60 px and one of its half, the half with so much of the power."""
    waves = [np.cos(2 * np.pi * (Z / pitch - phase * 60 / pitch)) for pitch in (60.0, 30.0)]
    return 60 + 6 * (np.sqrt(1 - share) * waves[0] + np.sqrt(share) * waves[1])


def test_a_pitch_that_explains_more_than_a_longer_one_stays():
    # the edge follows the longer turn 1.6 times as well: more than enough, yet not clearly
    sure = replace(thread(share=1.0), pitch_px=from_parts(30.0, "px", edge=0.1))
    assert whole_turns(sure, outline(mixed(0.6), mixed(0.6, 0.5))) is sure


def test_a_turn_that_the_edge_clearly_follows_needs_no_leave_of_the_grey():
    sure = replace(thread(share=0.999), pitch_px=from_parts(30.0, "px", edge=0.1))
    sure = replace(sure, probability=0.995)
    found = whole_turns(sure, outline(mixed(0.25), mixed(0.25, 0.5)))
    assert found.pitch_px.value == pytest.approx(60.0, rel=0.02)
    assert found.probability == 0.995  # that there is a thread is as sure as before


def teeth(pitch, phase=0.0):
    """Crests and valleys alike flat: in grey their flanks repeat thrice a turn."""
    return 60 + 4 * np.tanh(3 * np.cos(2 * np.pi * (Z / pitch - phase)))


def test_a_pitch_read_at_a_third_of_a_turn_is_put_right_by_the_edge():
    found = whole_turns(thread(), outline(teeth(3 * PITCH), teeth(3 * PITCH, 0.5)))
    assert found.pitch_px.value == pytest.approx(3 * PITCH, rel=0.02)


def test_a_slow_wave_under_a_thread_is_not_taken_for_its_turns():
    left, right = (wave(3.0, phase) + 5 * np.cos(2 * np.pi * Z / 90) for phase in (0.0, 0.5))
    assert whole_turns(thread(), outline(left, right)) == thread()


def test_a_pitch_read_right_stays():
    assert whole_turns(thread(), outline(ridges(PITCH), ridges(PITCH, 0.5))) == thread()


@pytest.mark.parametrize(("sure", "told"), [(0.85, False), (0.95, True)])
def test_turns_the_edge_hardly_shows_are_whole_or_half_unless_the_grey_is_sure(sure, told):
    walls = []
    for seed, phase in ((3, 0.0), (4, 0.5)):
        rough = 2 * np.random.default_rng(seed).standard_normal(len(Z))
        walls.append(wave(0.2, phase) + 0.6 * np.cos(np.pi * Z / PITCH + phase) + rough)
    found = whole_turns(replace(thread(), probability=sure), outline(*walls))
    assert bool(found.pitch_px) == told
    assert found.probability == sure
    assert told or "whole turns or halves" in found.pitch_px.reason
