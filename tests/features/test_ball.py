"""The calibration ball, against a sphere's exact shadow: path 2·√(R² − ρ²)."""

import math

import numpy as np
import pytest

from features.ball import ball_diameter
from tests.features.drawn_bodies import BALL_PX, ball, log_ball
from tests.features.drawn_bodies import ball_ends as ends
from tests.features.simulated_films import films

OFF = [(0, 0, 0, 0), (4, 3, -5, 2), (-6, 0, 0, 5), (3, -4, 4, 4)]  # ends 4-6 px off


@pytest.mark.parametrize("off", OFF)
@pytest.mark.parametrize("diameter_px", [166.67, 60.4])
def test_the_diameter_is_within_0_3_percent_from_ends_4_to_6_px_off(diameter_px, off):
    # Two such clicks alone would be 3 % of 167 px. Reached: 0.02 % at 167 px, 0.12 % at 60 px.
    diameter, centre = ball_diameter(ball(diameter_px), ends(diameter_px, off))
    assert diameter.value == pytest.approx(diameter_px, rel=0.003)
    assert diameter.interval[0] < diameter_px < diameter.interval[1]
    assert centre == pytest.approx(BALL_PX, abs=0.2)


@pytest.mark.parametrize("gamma", [0.6, 1.7])
@pytest.mark.parametrize("mu_per_mm", [0.6, 2.0])
def test_neither_gamma_nor_the_balls_density_moves_it_by_0_3_percent(gamma, mu_per_mm):
    picture = ball(166.67, gamma=gamma, mu_per_mm=mu_per_mm)
    diameter, _ = ball_diameter(picture, ends(166.67))
    assert diameter.value == pytest.approx(166.67, rel=0.003)


@pytest.mark.parametrize("whitest", [0.02, 0.035, 0.06])
def test_nor_does_a_logarithmic_film_move_it_by_a_percent(whitest):
    # Its blur pulls the edge inward: read as that of any other film the ball is 1.3-2.1 % too
    # small. Reached: 0.1-0.6 %.
    diameter, _ = ball_diameter(log_ball(166.67, whitest=whitest), ends(166.67))
    assert diameter.value == pytest.approx(166.67, rel=0.008)


def test_a_ball_cut_by_the_films_border_is_fitted_from_what_is_left():
    centre = (75.0, 149.0)
    cut = ((0.0, 149.0), (157.0, 149.0))
    diameter, found = ball_diameter(ball(166.0, centre=centre), cut)
    assert diameter.value == pytest.approx(166.0, rel=0.003)
    assert found == pytest.approx(centre, abs=0.2)


def square():
    picture = np.full((300, 320), 0.4, np.float32)
    picture[80:220, 80:240] = 0.9
    return picture


@pytest.mark.parametrize(
    "picture",
    [
        np.full((300, 320), 0.5, np.float32),
        np.random.default_rng(0).random((300, 320)).astype(np.float32),
        square(),
    ],
    ids=["even grey", "noise", "a square"],
)
def test_where_there_is_no_ball_there_is_a_reason_not_a_number(picture):
    diameter, centre = ball_diameter(picture, ((80.0, 150.0), (240.0, 150.0)))
    assert not diameter
    assert "no round edge" in diameter.reason
    assert np.isfinite(centre).all()


def test_balls_of_simulated_films_are_fitted_within_a_percent_from_rough_clicks():
    misses = []
    for film in films():
        true = math.dist(*film.truth["points_px"]["ball"])
        diameter, _ = ball_diameter(film.film.pixels, film.marks.scale.ends_px)
        misses.append(diameter.value / true - 1)
    # Reached: 0.02 % on linear films, 0.2 % with a gamma, 0.2 % on log films; the
    # ball's unknown depth alone is 0.9 %.
    assert np.abs(misses).max() < 0.01
    assert np.median(np.abs(misses)) < 0.003
