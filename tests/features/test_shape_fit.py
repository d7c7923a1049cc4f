"""The search for a shape whose height, ground and slope are free."""

import numpy as np
import pytest

from features.shape_fit import Picture, fit_shape

DEPTH = np.linspace(-8.0, 8.0, 33)
LOW, HIGH = np.array([-6.0, 0.3]), np.array([6.0, 5.0])


def step(theta):
    """A logistic step: its place and its width."""
    rise = 1 / (1 + np.exp(-(DEPTH + theta[0]) / theta[1]))
    steep = rise * (1 - rise) / theta[1]
    return rise, np.array([steep, -steep * (DEPTH + theta[0]) / theta[1]])


def picture(grey, *, usual=(0.0, 1.0), firm=0.0):
    more = np.zeros(3)
    return Picture(
        grey, DEPTH, step, LOW, HIGH, np.append(usual, more), np.append([firm] * 2, more)
    )


@pytest.mark.parametrize("start", [(-1.0, 0.8), (0.0, 4.0), (4.0, 1.0)])
def test_a_shape_is_found_with_its_height_ground_and_slope(start):
    grey = 0.3 + 0.02 * DEPTH + 0.7 * step(np.array([1.3, 1.7]))[0]
    found = fit_shape(picture(grey), np.array(start), enough=1e-9, most=60)
    np.testing.assert_allclose(found.theta, [1.3, 1.7], atol=1e-3)
    np.testing.assert_allclose(found.linear, [0.7, 0.3, 0.02], atol=1e-3)


def test_nothing_is_looked_for_beyond_the_limits():
    grey = step(np.array([7.5, 1.0]))[0]
    found = fit_shape(picture(grey), np.array([4.0, 1.0]), enough=1e-12, most=200)
    assert found.theta[0] <= HIGH[0]
    assert found.theta[0] == pytest.approx(HIGH[0], abs=0.05)


def test_what_the_picture_leaves_open_stays_usual():
    flat = picture(0.4 + 0.01 * DEPTH, usual=(2.0, 1.5), firm=0.01)
    found = fit_shape(flat, np.array([-1.0, 3.0]), enough=1e-9, most=60)
    np.testing.assert_allclose(found.theta, [2.0, 1.5], atol=0.01)


def test_the_pull_is_half_the_slope_of_the_cost():
    grey = 0.2 + 0.5 * step(np.array([1.0, 2.0]))[0]
    held = picture(grey, firm=0.05)
    theta = np.array([-0.5, 1.2])
    for index, nudge in enumerate(np.eye(2) * 1e-5):
        rise = held.at(theta + nudge).cost - held.at(theta - nudge).cost
        assert held.at(theta).pull[index] == pytest.approx(rise / 4e-5, rel=1e-3)


@pytest.mark.parametrize("flat", [0.0, 1.0])
def test_a_shape_that_never_changes_is_fitted_without_a_fault(flat):
    """Nothing tells θ then, nor one flat shape from the ground."""

    def still(theta):
        return np.full(len(DEPTH), flat), np.zeros((len(theta), len(DEPTH)))

    nothing = np.zeros(5)
    held = Picture(0.4 + 0.01 * DEPTH, DEPTH, still, LOW, HIGH, nothing, nothing)
    found = fit_shape(held, np.array([0.0, 1.0]), enough=1e-9, most=20)
    assert np.isfinite(found.theta).all()
    assert found.cost < 1e-6
