"""What speaks for a thread, on edges drawn as formulas."""

import numpy as np
import pytest

from features.thread_judge import follow_comb, thread_probability
from tests.features.drawn_edges import CRESTS, PITCH, Z, outline, thread, wave


def stairs(fall):
    return 70 - fall * np.floor(Z / PITCH)


def test_an_edge_that_weaves_goes_out_as_far_as_in():
    weave = follow_comb(outline(wave(3.0), wave(3.0, 0.5)), thread(), PITCH)
    assert weave.amplitude_px == pytest.approx(3.0, rel=0.03)
    assert weave.share > 0.99
    assert weave.back == pytest.approx(0.5, abs=0.03)


def test_stairs_never_go_out_again():
    assert follow_comb(outline(stairs(2.0), stairs(2.0)), thread(), PITCH).back < 0.01


def test_stairs_are_less_likely_a_thread_than_waves_as_deep():
    waves = thread_probability(thread(), outline(wave(2.0), wave(2.0, 0.5)))
    steps = thread_probability(thread(stagger=0.0), outline(stairs(4.0), stairs(4.0)))
    assert waves > 0.9
    assert steps < waves - 0.2


@pytest.mark.parametrize(("better", "worse"), [((4.0, 0.5), (0.2, 0.5)), ((2.0, 0.5), (2.0, 0.25))])
def test_a_deeper_edge_and_walls_half_a_turn_apart_speak_for_a_thread(better, worse):
    chances = [
        thread_probability(thread(0.3, stagger), outline(wave(deep), wave(deep, stagger)))
        for deep, stagger in (better, worse)
    ]
    assert chances[0] > chances[1] + 0.02


def test_more_crests_speak_for_a_thread():
    body = outline(wave(1.0), wave(1.0, 0.5))
    few, many = (thread_probability(thread(0.3, crests=c), body) for c in (CRESTS[:3], CRESTS))
    assert many > few + 0.1
