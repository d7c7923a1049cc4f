"""Cutting flutes: grooves of the apical third, open at the end."""

import numpy as np
import pytest

from features.apical_rows import ApicalRows
from features.flutes import flute_strength
from tests.features.bodies_on_film import half_turned, mirrored, read
from tests.features.drawn_bodies import chord, film, knots, rod
from tests.features.simulated_films import films

RADIUS_MM, FLUTE_MM = 2.0, 1.0  # of the body, and the width of a flute


def grooves(turn_deg, *, count=3, from_mm=7.0, to_mm=10.0):
    """Part of the metal missing where round grooves run along the side of a body, 0.4 mm deep."""
    deep = np.linspace(-RADIUS_MM, RADIUS_MM, 1601)
    turns = np.radians(turn_deg + 360 / count * np.arange(count))
    middles = (RADIUS_MM + 0.1) * np.exp(1j * turns)

    def missing(t, z):
        place = t.T + 1j * deep  # across + deep, (T, N)
        cut = (abs(place[..., None] - middles) < FLUTE_MM / 2).any(axis=-1)
        gone = (cut & (abs(place) < RADIUS_MM)).sum(axis=1) * (deep[1] - deep[0])
        whole = np.maximum(chord(RADIUS_MM, t[0]), 1e-9)
        return (gone / whole)[None, :] * ((z > from_mm) & (z < to_mm))

    return missing


def ringed(pitch_mm=0.8, depth_mm=0.3):
    """A rod with rings along its whole length."""
    crest, root = RADIUS_MM, RADIUS_MM - depth_mm
    heights = np.arange(0.0, 10.0, pitch_mm / 2)
    return knots(*[(z, (crest, root)[n % 2]) for n, z in enumerate(heights)], (10.0, crest))


@pytest.mark.parametrize("seen", [lambda f: f, half_turned, mirrored])
@pytest.mark.parametrize("turn_deg", [0.0, 50.0, 80.0])
def test_grooves_that_run_out_at_the_apex_are_flutes(turn_deg, seen):
    drawn = film(rod(), notch=grooves(turn_deg))
    assert read(seen(drawn)).findings["flutes"].state == "present"


def test_four_grooves_are_flutes():
    assert read(film(rod(), notch=grooves(20.0, count=4))).findings["flutes"].state == "present"


def test_grooves_are_seen_among_turns_of_a_thread():
    flutes = read(film(ringed(), notch=grooves(50.0))).findings["flutes"]
    assert flutes.state == "present"


def test_a_thread_alone_is_no_flute():
    assert read(film(ringed())).findings["flutes"].state == "absent"


def test_grooves_shallower_than_the_noise_shows_are_not_told():
    drawn = film(rod(), notch=lambda t, z: 0.1 * grooves(50.0)(t, z), noise=0.02)
    assert read(drawn).findings["flutes"].state == "absent"


def test_a_groove_that_ends_above_the_apex_is_none():
    drawn = film(rod(), notch=grooves(50.0, from_mm=6.5, to_mm=8.0))
    assert read(drawn).findings["flutes"].state != "present"


def test_a_round_hollow_in_the_end_is_none():
    hollow = film(rod(), channel=lambda z: np.where(z > 7.5, 1.0, 0.0))
    assert read(hollow).findings["flutes"].state != "present"


@pytest.mark.parametrize("noise", [0.004, 0.02])
def test_an_even_body_has_none(noise):
    flutes = read(film(rod(), noise=noise)).findings["flutes"]
    assert flutes.state == "absent"


def test_deeper_grooves_are_told_with_more_certainty():
    faint, clear = (
        read(
            film(rod(), notch=lambda t, z, part=part: part * grooves(50.0)(t, z), noise=0.02)
        ).findings["flutes"]
        for part in (0.35, 1.0)
    )
    assert clear.state == "present"
    assert faint.state == "absent" or faint.probability < clear.probability


def test_absent_is_said_weakly_for_a_flute_may_be_turned_away():
    flutes = read(film(rod())).findings["flutes"]
    assert flutes.probability <= 0.7
    assert "turned away" in flutes.reason


def test_a_faint_body_is_not_called_unfluted():
    pixels, truth = film(rod(), notch=grooves(50.0))
    flutes = read((0.6 + 0.06 * (pixels - 0.6), truth)).findings["flutes"]
    assert flutes.state == "not assessable"


def test_a_channel_down_to_the_end_leaves_no_place_to_tell():
    flutes = read(film(rod(), channel=knots((0.0, 0.9), (9.6, 0.9)))).findings["flutes"]
    assert flutes.state == "not assessable"
    assert "channel" in flutes.reason


def test_no_flute_is_invented_on_simulated_films():
    told = [f.finding("flutes") for f in films()]
    invented = [state == "present" for _, there, state in told if not there]
    assert sum(invented) <= 1  # reached: 0 of 13


def test_patterns_that_lie_outside_narrow_columns_say_nothing():
    rng = np.random.default_rng(4)
    z, u = np.arange(100.0, 300.0), np.linspace(-0.25, 0.25, 51)
    rows = ApicalRows(z, u, 0.002 * rng.standard_normal((len(z), len(u))), 1.0, 1.0)
    with np.errstate(all="raise"):
        strength = flute_strength(rows, 310.0, 130.0)
    assert 0 < strength < 2
