"""What a tilted beam does to lengths."""

import numpy as np
import pytest

from features.quantity import Measured, NotMeasured
from features.slant import TILTS_DEG, as_it_is, slant_of

UNKNOWN = NotMeasured("no thread")


def test_a_known_tilt_gives_its_overhang_and_an_unknown_one_a_usual_one():
    known = slant_of(Measured(8.0, 0.5, "deg"), holder=False, slender=3.0)
    assert known.mean(known.overhang)[0] == pytest.approx(np.sin(np.radians(8.0)), rel=0.01)
    unknown = slant_of(UNKNOWN, holder=False, slender=3.0)
    middle, std = unknown.mean(unknown.overhang)
    assert 0.06 < middle < 0.10  # 6° · √(2/π) = 4.8°
    assert std > 0.5 * middle


def test_a_holder_leaves_less_tilt_open_and_does_not_shorten():
    by_hand, held = (slant_of(UNKNOWN, holder=holder, slender=3.0) for holder in (False, True))
    assert held.mean(held.overhang)[0] < by_hand.mean(by_hand.overhang)[0]
    assert held.shown(6.0) == pytest.approx(np.ones(len(TILTS_DEG)))
    assert held.film_std() == 0.0 < by_hand.film_std()


def test_a_length_farther_from_the_tube_is_enlarged_less():
    # a tube on the platform's side (positive tilt) leaves the apex farther away
    shown = slant_of(UNKNOWN, holder=False, slender=3.0).shown(4.0)
    ten, minus_ten = shown[TILTS_DEG == 10][0], shown[TILTS_DEG == -10][0]
    assert ten < minus_ten
    assert minus_ten - ten == pytest.approx(2 * 4.0 * np.sin(np.radians(10)) / 83, rel=0.02)


def test_a_slender_pin_lies_more_of_its_widths_from_the_tube():
    # 340 mm from the tube: 113 widths of a pin of 3 x 17 mm, 49 of a body of 7 x 7
    pin, stout = (slant_of(UNKNOWN, holder=False, slender=slender) for slender in (17 / 3, 1.0))
    assert pin.source_widths == pytest.approx(113, rel=0.05)
    assert stout.source_widths == pytest.approx(49, rel=0.05)
    assert np.ptp(pin.shown(4.0)) < np.ptp(stout.shown(4.0))


@pytest.mark.parametrize("tilt_deg", [-9.0, 0.0, 9.0])
def test_a_stretch_of_the_axis_is_given_back_its_length(tilt_deg):
    slant = slant_of(Measured(tilt_deg, 0.5, "deg"), holder=False, slender=3.0)
    seen = Measured(100.0, 0.1, "px")
    whole = as_it_is(seen, slant, widths_long=0.0)
    lost = 1 - np.cos(np.radians(tilt_deg))
    assert whole.interval[0] <= 100.0 / (1 - lost) <= whole.interval[1]  # a film square to the beam
    assert whole.interval[0] <= 100.0 <= whole.interval[1] + 1e-9 or lost > 0.01
    assert whole.std > seen.std


def test_what_else_was_seen_of_the_tilt_counts():
    slant = slant_of(UNKNOWN, holder=False, slender=3.0)
    grid = np.array([0.0, 5.0, 20.0])
    steep = slant.weighed(grid, np.array([0.0, 1.0, 0.0]))
    assert steep.weights.sum() == pytest.approx(1.0)
    assert steep.weights[TILTS_DEG == 0][0] == 0.0
    assert steep.mean(steep.overhang)[0] > slant.mean(slant.overhang)[0]


def test_folding_keeps_all_the_weight_without_its_sign():
    slant = slant_of(Measured(-6.0, 0.5, "deg"), holder=False, slender=3.0)
    folded = slant.folded(np.arange(0.0, 20.1, 2.0))
    assert folded.sum() == pytest.approx(1.0)
    assert int(folded.argmax()) == 3
