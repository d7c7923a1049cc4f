"""Single turns against their mean, on walls painted as a soft step."""

import numpy as np
import pytest

from features.strip import Axis, Strip
from features.thread_cell import fold
from features.turns import NEAR_ROOTS, MeanTurn, Turns, joined, single_turns

PITCH, CORE, DEPTH = 27.0, 50.0, 8.0
Z, T = np.arange(0.0, 400.0), np.arange(-90.0, 90.5)


def painted(distance):
    grey = 1 / (1 + np.exp((np.abs(T)[None] - distance[:, None]) / 1.2))
    return Strip(grey, np.ones(grey.shape, bool), Z, T, Axis((0.0, 0.0), 0.0, 400.0))


def threaded(depth=DEPTH):
    return CORE + depth * (0.5 + 0.5 * np.cos(2 * np.pi * Z / PITCH))


def turns_of(distance, line, side=1.0):
    strip = painted(distance)
    grey, depth = fold(strip, Z, line, side=side, pitch_px=PITCH, reach_px=15.0)
    mean = MeanTurn(grey, depth, PITCH, 0.0, DEPTH / 2, -DEPTH / 2)
    return single_turns(strip, Z, line, side, mean)


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_crests_and_roots_of_an_even_thread_stand_where_they_were_made(side):
    crests, roots = turns_of(threaded(), np.full(len(Z), CORE + DEPTH / 2), side)
    assert len(crests.z_px) >= 13
    # half the turns' rows are whole turns: the mean is theirs to a fifth of a pixel
    assert crests.distance_px[1:-1] == pytest.approx(CORE + DEPTH, abs=0.2)
    assert roots.distance_px[1:-1] == pytest.approx(CORE, abs=0.2)


def test_a_line_that_a_flare_has_drawn_out_is_corrected_where_it_is_wrong():
    line = CORE + DEPTH / 2 + 1.5 * np.exp(-Z / 60.0)  # the true wall is straight
    crests, _ = turns_of(threaded(), line)
    near, std = crests.at(40.0)
    far, _ = crests.at(320.0)
    # left uncorrected, the line would part them by 0.77 px
    assert near == pytest.approx(far, abs=0.3)
    assert 0 < std < 0.5


def test_roots_together_stand_where_the_mean_turn_has_them():
    # every valley looks half a pixel fuller than the mean turn that was fitted
    strip, line = painted(threaded()), np.full(len(Z), CORE + DEPTH / 2)
    grey, depth = fold(strip, Z, line, side=1.0, pitch_px=PITCH, reach_px=15.0)
    mean = MeanTurn(grey, depth, PITCH, 0.0, DEPTH / 2, -DEPTH / 2)
    fuller = painted(np.maximum(threaded(), CORE + 0.5))
    _, roots = single_turns(fuller, Z, line, 1.0, mean)
    assert np.median(roots.distance_px) == pytest.approx(CORE, abs=0.05)


def test_a_turn_that_is_cut_away_is_left_out():
    distance = threaded()
    distance[150:178] = CORE  # a flute through the crest at 162
    crests, _ = turns_of(distance, np.full(len(Z), CORE + DEPTH / 2))
    assert np.min(np.abs(crests.z_px - 162.0)) > 20
    assert crests.at(162.0)[0] == pytest.approx(CORE + DEPTH, abs=1.0)
    assert crests.beyond_px(162.0) == pytest.approx(27.0, abs=0.1)


def test_a_height_beyond_the_last_turn_is_known_less_well():
    z = np.arange(0.0, 200.0, 20.0)
    turns = Turns(z, 50.0 - 0.05 * z)
    inside, std = turns.at(90.0)
    beyond, wider = turns.at(240.0)
    assert (inside, beyond) == pytest.approx((45.5, 38.0))
    assert wider > 1.5 * std


def test_fewer_than_two_turns_tell_nothing():
    one = Turns(np.array([5.0]), np.array([40.0]))
    assert joined([one]) is None
    assert joined([]) is None
    both = joined([one, one])
    assert both is not None
    assert len(both.z_px) == 2


def test_a_height_between_two_turns_is_among_them_and_one_beyond_the_last_is_not():
    turns = Turns(np.array([20.0, 47.0, 101.0]), np.full(3, 50.0))
    assert turns.among(74.0)
    assert not turns.among(110.0)


def test_roots_follow_their_own_height_where_a_thread_deepens():
    z = np.arange(0.0, 260.0, 20.0)
    distance = 50.0 - 0.001 * z**2
    roots, crests = Turns(z, distance, NEAR_ROOTS), Turns(z, distance)
    off = [abs(turns.at(130.0)[0] - 33.1) for turns in (roots, crests)]
    assert off[0] < 0.7 * off[1]
    assert joined([roots, roots]).near == NEAR_ROOTS
