"""Grey between pixels against SciPy's spline."""

import math

import numpy as np
import pytest
from scipy import ndimage

from features.spline import sampled

FILM = np.random.default_rng(7).random((70, 50)).astype(np.float32)


@pytest.mark.parametrize("angle_deg", [0, 3, 47, 90, 200])
@pytest.mark.parametrize("step", [0.5, 1.0])
def test_a_turned_grid_is_scipys_to_the_last_digits_of_float32(angle_deg, step):
    cos, sin = step * math.cos(math.radians(angle_deg)), step * math.sin(math.radians(angle_deg))
    to_film, first, shape = np.array([[cos, sin], [-sin, cos]]), np.array([31.3, 22.8]), (41, 23)
    first = first - to_film @ [20, 11]  # the grid's middle is the film's
    wanted = ndimage.affine_transform(FILM, to_film, first, shape, order=3, mode="nearest")
    found = sampled(FILM, first, to_film[:, 0], to_film[:, 1], shape)
    assert found == pytest.approx(wanted, abs=2e-6)


def test_pixels_come_through_unchanged():
    found = sampled(FILM, np.zeros(2), np.array([1.0, 0]), np.array([0, 1.0]), FILM.shape)
    assert found == pytest.approx(FILM, abs=2e-6)


def test_far_beyond_the_film_its_edge_goes_on():
    first = np.array([30.0, -400.0])
    found = sampled(FILM, first, np.array([1.0, 0]), np.array([0, 1.0]), (9, 5))
    assert found == pytest.approx(np.repeat(FILM[30:39, :1], 5, axis=1), abs=1e-4)
    assert np.isfinite(found).all()


def test_a_grid_larger_than_what_is_done_at_once_has_no_seams():
    grid = np.array([5.2, 4.1]), np.array([0.1, 0.01]), np.array([-0.001, 0.1])
    whole = sampled(FILM, *grid, (400, 300))
    part = sampled(FILM, grid[0] + 250 * grid[1], *grid[1:], (7, 300))
    assert whole[250:257] == pytest.approx(part, abs=1e-6)
