"""Steps of a body, smooth or threaded."""

import numpy as np
import pytest

from features.steps import CLEAR_SMOOTH, CLEAR_THREADED, steps_rather_than_taper
from tests.features.bodies_on_film import read, threaded
from tests.features.drawn_bodies import film, knots, rod
from tests.features.simulated_films import make

NOISE = 0.004  # of the body's width: a third of a pixel on a usual film


def heights(number=26):
    return np.linspace(0.0, 300.0, number)


def noisy(course, seed):
    return course + NOISE * np.random.default_rng(seed).standard_normal(course.shape)


def staircase(z, levels=4, shoulder=0.03):
    return 0.5 - shoulder * np.floor(z / 300.01 * levels)


def test_a_stepped_smooth_body_shows_its_steps():
    stepped = knots((0, 2.2), (3, 2.2), (3.02, 1.95), (6, 1.95), (6.02, 1.7), (10, 1.7))
    assert read(film(stepped)).findings["steps"].state == "present"


@pytest.mark.parametrize("body", [rod(), knots((0.0, 2.2), (10.0, 1.7))])
def test_a_straight_or_evenly_tapered_body_has_no_steps(body):
    assert read(film(body)).findings["steps"].state == "absent"


def test_an_evenly_threaded_body_has_no_steps_but_is_less_sure_of_it():
    steps = read(threaded()).findings["steps"]
    assert steps.state == "absent"
    assert steps.probability < read(film(rod())).findings["steps"].probability


@pytest.mark.parametrize("seed", range(20))
def test_a_staircase_of_crests_is_told_from_even_courses_through_noise(seed):
    z = heights()
    assert steps_rather_than_taper(z, noisy(staircase(z), seed)) > CLEAR_THREADED
    for even in (0.5 - 0.0004 * z, 0.5 - 1.2e-6 * z**2, 0.5 + 0 * z):
        assert steps_rather_than_taper(z, noisy(even, seed)) < CLEAR_THREADED


def test_a_smooth_body_below_a_wider_neck_has_no_steps():
    z = heights(60)
    neck = 0.5 - 0.05 / (1 + np.exp(-(z - 90) / 10)) - 0.01 * z / 300
    stray = (noisy(neck, 1) - neck) / 4
    assert steps_rather_than_taper(z, neck + stray) < CLEAR_SMOOTH
    assert steps_rather_than_taper(z, staircase(z) + stray) > CLEAR_SMOOTH


def test_the_order_of_the_crests_does_not_matter():
    z, mixed = heights(), np.random.default_rng(1).permutation(26)
    half = noisy(staircase(z), 2)
    assert steps_rather_than_taper(z[mixed], half[mixed]) == steps_rather_than_taper(z, half)


def test_shoulders_that_widen_the_body_are_no_steps():
    z = heights()
    waist = 0.5 - 0.05 * ((z > 100) & (z < 200))
    assert steps_rather_than_taper(z, noisy(waist, 3)) < CLEAR_THREADED


def test_too_few_crests_say_nothing():
    assert steps_rather_than_taper(heights(5), staircase(heights(5))) < CLEAR_THREADED


def test_steps_of_an_everyday_film_are_seen_under_its_thread():
    one = make("stepped_cylinder", "clinical", 14, seated="nothing", rows=700)
    assert one.finding("steps") == (True, True, "present")
