"""The straightened view."""

import math

import numpy as np
import pytest

from features.strip import Axis, axis_through, straighten


def strip_of(pixels, axis, **more):
    room = {"above_px": 6, "below_px": 6, "half_px": 12} | more
    return straighten(np.asarray(pixels, np.float32), axis, **room)


@pytest.mark.parametrize("angle_deg", [0, 17, 90, 133, 180, -90])
def test_every_sample_lies_where_to_film_says(angle_deg):
    turn = math.radians(angle_deg)
    axis = Axis((60.0, 55.0), turn, 30.0)
    y, x = np.mgrid[0:120, 0:120]
    across = strip_of(x / 120, axis)
    down = strip_of(y / 120, axis)
    for row, column in ((0, 0), (7, 20), (30, 3), (40, 24)):
        place = axis.to_film(across.z_px[row], across.t_px[column])
        # float32 pixels carry seven digits: 1e-4 px of 120
        assert across.pixels[row, column] * 120 == pytest.approx(place[0], abs=1e-3)
        assert down.pixels[row, column] * 120 == pytest.approx(place[1], abs=1e-3)


def test_a_linear_ramp_comes_through_the_cubic_kernel_unchanged_between_samples():
    y, x = np.mgrid[0:100, 0:100]
    axis = Axis((50.3, 30.7), math.radians(71.3), 40.0)
    strip = strip_of(0.2 + 0.003 * x + 0.004 * y, axis, step_px=0.5)
    z, t = np.meshgrid(strip.z_px, strip.t_px, indexing="ij")
    fx, fy = axis.to_film(z, t)
    assert np.abs(strip.pixels - (0.2 + 0.003 * fx + 0.004 * fy)).max() < 1e-5  # float32 pixels


def test_a_whole_step_along_rows_and_columns_is_the_film_itself():
    film = np.random.default_rng(1).random((80, 60)).astype(np.float32)
    strip = strip_of(film, Axis((30.0, 20.0), math.pi / 2, 40.0))
    # apex below the platform: z runs down the film, and t runs to the film's left
    rows, columns = slice(20 - 6, 20 - 6 + len(strip.z_px)), slice(30 - 12, 30 + 13)
    np.testing.assert_allclose(strip.pixels, film[rows, columns][:, ::-1], atol=1e-5)


def test_samples_beyond_the_film_are_flagged_and_those_on_it_are_not():
    axis = Axis((5.0, 10.0), math.pi / 2, 30.0)
    strip = strip_of(np.zeros((60, 60)), axis)
    z, t = np.meshgrid(strip.z_px, strip.t_px, indexing="ij")
    x, y = axis.to_film(z, t)
    near_rim = np.minimum(np.abs(x), np.abs(y)) < 1e-6
    expected = (x >= 0) & (y >= 0) & (x <= 59) & (y <= 59)
    assert (strip.inside == expected)[~near_rim].all()
    assert not strip.inside.all()
    assert strip.inside.any()


def test_a_strip_entirely_off_the_film_is_all_flagged():
    strip = strip_of(np.zeros((40, 40)), Axis((500.0, 500.0), 0.3, 20.0))
    assert not strip.inside.any()
    assert np.isfinite(strip.pixels).all()


def test_rows_and_columns_hold_both_ends_asked_for():
    strip = strip_of(np.zeros((90, 90)), Axis((45.0, 30.0), math.pi / 2, 40.0), step_px=0.5)
    assert strip.z_px[strip.rows(3.0, 7.0)][[0, -1]] == pytest.approx([3.0, 7.0])
    assert strip.t_px[strip.columns(-4.0, 4.0)][[0, -1]] == pytest.approx([-4.0, 4.0])
    assert len(strip.z_px[strip.rows(7.0, 3.0)]) == 0


def test_at_reads_the_strip_between_its_samples():
    y, x = np.mgrid[0:90, 0:90]
    axis = Axis((45.0, 30.0), math.radians(80), 40.0)
    strip = strip_of((x + 2 * y) / 300, axis)
    z, t = np.array([3.25, 20.6]), np.array([-4.3, 7.7])
    fx, fy = axis.to_film(z, t)
    np.testing.assert_allclose(strip.at(z, t), (fx + 2 * fy) / 300, atol=1e-5)


def test_moving_an_axis_along_itself_keeps_the_apex_and_turning_keeps_the_origin():
    axis = axis_through((10.0, 20.0), (40.0, 60.0))
    assert axis.length_px == pytest.approx(50.0)
    shorter = axis.moved(z_px=12.0)
    assert shorter.to_film(shorter.length_px, 0) == pytest.approx((40.0, 60.0))
    turned = axis.moved(turn_rad=0.1)
    assert turned.origin_px == axis.origin_px
    assert turned.angle_rad == pytest.approx(axis.angle_rad + 0.1)
