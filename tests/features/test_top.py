"""What stands above the platform."""

import pytest

from tests.features.bodies_on_film import EXACT, half_turned, read
from tests.features.drawn_bodies import film, knots, rod
from tests.features.simulated_films import films

TOPS = {
    "nothing": ((0, 2), (10, 2)),
    "male prism, 0.7 mm": ((-0.7, 1.3), (-0.01, 1.3), (0, 2), (10, 2)),
    "male prism, 1.0 mm": ((-1.0, 1.35), (-0.01, 1.35), (0, 2), (10, 2)),
    "covered, straight": ((-4, 1.9), (-0.01, 1.9), (0, 2), (10, 2)),
    "covered, by a crown": ((-4, 3), (-0.6, 2.4), (0, 2), (10, 2)),
}


@pytest.mark.parametrize("top", TOPS)
@pytest.mark.parametrize("seen", [lambda f: f, half_turned])
def test_what_stands_on_a_drawn_platform_is_told_either_way_up(top, seen):
    assert read(seen(film(knots(*TOPS[top])))).forms["top_form"].state == top.split(",")[0]


def test_a_film_that_ends_at_the_platform_does_not_say_nothing_is_there():
    pixels, truth = film(rod())
    row = round(truth["platform"][0][1])
    shifted = {
        "platform": [(x, y - row + 1) for x, y in truth["platform"]],
        "apex": (truth["apex"][0], truth["apex"][1] - row + 1),
    }
    form = read((pixels[row - 1 :], shifted), EXACT).forms["top_form"]
    assert form.state == "not assessable"
    assert "ends at the platform" in form.reason


def test_tops_of_simulated_films_are_told():
    told = [f.form("top_form") for f in films()]
    assert sum(truth == state for truth, state in told) >= 20  # reached: 23 of 24


def test_a_covered_platform_of_a_simulated_film_is_never_called_bare():
    told = [f.form("top_form") for f in films()]
    assert all(state == "covered" for truth, state in told if truth == "covered")  # reached: 10
