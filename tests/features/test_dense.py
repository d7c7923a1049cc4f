"""Evenly white bodies, as dense ceramic is."""

import pytest

from tests.features.bodies_on_film import read, smooth, threaded
from tests.features.simulated_films import make


@pytest.mark.parametrize("tone", ["linear", "log", "gamma"])
@pytest.mark.parametrize("body", [smooth, threaded])
def test_titanium_is_a_dome_whatever_the_tone_curve(body, tone):
    assert read(body(tone=tone)).findings["dense"].state == "absent"


@pytest.mark.parametrize("tone", ["linear", "log", "gamma"])
def test_what_lets_nothing_through_is_white_up_to_its_edges(tone):
    # titanium at 20 keV: 15.9 cm2/g x 4.5 g/cm3 = 71 per cm; zirconia at 37 keV: 12 x 6 (xraydb)
    assert read(smooth(tone=tone, energy_kev=20.0)).findings["dense"].state == "present"


def test_a_body_that_hardly_stands_out_is_not_judged():
    pixels, truth = smooth()
    found = read((0.5 + 0.05 * (pixels - 0.5), truth)).findings["dense"]
    assert found.state == "not assessable"
    assert "stands out" in found.reason


@pytest.mark.parametrize(
    ("family", "seed", "state"),
    [
        ("ceramic", 23, "present"),
        ("ceramic", 44, "present"),
        ("one_piece_screw", 21, "absent"),
        ("tissue_level_cone", 22, "absent"),
    ],
)
def test_ceramic_is_told_from_titanium_on_everyday_films(family, seed, state):
    one = make(family, "clinical", seed)
    assert one.finding("dense")[1:] == (state == "present", state)
