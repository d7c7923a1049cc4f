"""What flutes take from the beam's path, against channels counted point by point."""

import numpy as np
import pytest
from scipy import ndimage

from features.flute_shapes import BLUR, COUNTS, HALF_WIDTHS, MIDDLE, TURN_STEP_DEG, missing_metal

U = np.linspace(-0.8, 0.8, 161)
SIDE = np.linspace(-1, 1, 2001)


def counted(u, count, half, turn_deg):
    """The length of a ray at each place that is inside both a channel and the body."""
    place = u[:, None] + 1j * SIDE
    turns = np.radians(turn_deg + 360 / count * np.arange(count))
    cut = (abs(place[..., None] - MIDDLE * np.exp(1j * turns)) < half).any(axis=-1)
    return (cut & (abs(place) < 1)).sum(axis=1) * (SIDE[1] - SIDE[0])


def orders():
    """Number, half width and turn of every shape, as they come."""
    return [
        (count, half, turn)
        for count in COUNTS
        for half in HALF_WIDTHS
        for turn in np.arange(0, 360 / count, TURN_STEP_DEG)
    ]


@pytest.mark.parametrize("number", [0, 7, 31, 45, 60, 90])
def test_a_shape_is_what_its_channels_take(number):
    shapes, order = missing_metal(U), orders()
    assert len(shapes) == len(order)
    sharp = counted(U, *order[number])
    blurred = ndimage.gaussian_filter1d(sharp, BLUR / (U[1] - U[0]))
    assert shapes[number] == pytest.approx(blurred, abs=2 * (SIDE[1] - SIDE[0]))


def test_turning_a_body_over_mirrors_what_is_missing():
    shapes = missing_metal(U)
    four = [n for n, (count, half, _) in enumerate(orders()) if (count, half) == (4, 0.28)]
    one, other = (shapes[four[n]] for n in (2, -2))  # as far before as after a quarter turn
    assert one == pytest.approx(other[::-1], abs=1e-9)


def test_nothing_is_added_to_a_body():
    assert missing_metal(U).min() >= 0
