"""Blurs and closings against SciPy's."""

import numpy as np
import pytest
from scipy import ndimage

from features.smoothing import blurred, blurred_lines, closed, slope_across

PICTURE = np.random.default_rng(4).random((60, 45)).astype(np.float32)


@pytest.mark.parametrize("stds", [(1.2, 1.2), (6.0, 0.8), (2.5, 0.0)])
def test_a_blur_is_scipys_to_the_last_digit_of_float32(stds):
    assert blurred(PICTURE, *stds) == pytest.approx(
        ndimage.gaussian_filter(PICTURE, stds), abs=1e-6
    )


@pytest.mark.parametrize("std", [2.5, 30.0, 90.0])  # the longer ones by Fourier's way
@pytest.mark.parametrize(
    ("beyond", "theirs"), [("symmetric", "reflect"), ("edge", "nearest"), ("constant", "constant")]
)
def test_lines_are_blurred_as_scipy_does(std, beyond, theirs):
    lines = np.random.default_rng(5).random((3, 150))
    wanted = ndimage.gaussian_filter1d(lines, std, mode=theirs)
    assert blurred_lines(lines, std, beyond) == pytest.approx(wanted, abs=1e-12)
    assert blurred_lines(lines[0], std, beyond) == pytest.approx(wanted[0], abs=1e-12)


def test_a_slope_rises_with_the_columns():
    wanted = ndimage.gaussian_filter(PICTURE, 1.0, order=(0, 1), mode="nearest")
    assert slope_across(PICTURE, 1.0) == pytest.approx(wanted, abs=1e-6)
    ramp = np.tile(np.arange(40, dtype=np.float32), (20, 1))
    assert slope_across(ramp, 1.0)[10, 20] == pytest.approx(1.0, abs=2e-3)  # cut off at 4 std


@pytest.mark.parametrize("size", [(1, 21), (9, 9)])
def test_a_closing_is_scipys(size):
    assert np.array_equal(closed(PICTURE, *size), ndimage.grey_closing(PICTURE, size=size))


@pytest.mark.parametrize("wanted", [slice(12, 30), slice(0, 5), slice(40, None)])
def test_some_columns_are_closed_as_in_the_whole_picture(wanted):
    whole = closed(PICTURE, 5, 21)
    assert np.array_equal(closed(PICTURE, 5, 21, wanted), whole[:, wanted])
