"""Cutting flutes: a notch on one side of the apical third."""

import pytest

from tests.features.bodies_on_film import half_turned, mirrored, read
from tests.features.drawn_bodies import film, rod
from tests.features.simulated_films import films


def notched(missing):
    """Metal missing on one side between 7 and 9 of 10 mm."""
    return film(rod(), notch=lambda t, z: missing * ((t > 0.5) & (z > 7) & (z < 9)))


@pytest.mark.parametrize("seen", [lambda f: f, half_turned, mirrored])
def test_a_deep_notch_on_either_side_is_a_flute(seen):
    assert read(seen(notched(0.5))).findings["flutes"].state == "present"


@pytest.mark.parametrize("noise", [0.004, 0.02])
def test_an_even_body_has_none(noise):
    flutes = read(film(rod(), noise=noise)).findings["flutes"]
    assert flutes.state == "absent"


def test_absent_is_said_weakly_for_a_flute_may_be_turned_away():
    flutes = read(film(rod())).findings["flutes"]
    assert flutes.probability <= 0.7
    assert "turned away" in flutes.reason


def test_a_faint_body_is_not_called_unfluted():
    pixels, truth = notched(0.5)
    flutes = read((0.6 + 0.06 * (pixels - 0.6), truth)).findings["flutes"]
    assert flutes.state == "not assessable"


def test_no_flute_is_invented_on_simulated_films():
    told = [f.finding("flutes") for f in films()]
    invented = [state == "present" for _, there, state in told if not there]
    assert sum(invented) <= 1  # reached: 0 of 13
