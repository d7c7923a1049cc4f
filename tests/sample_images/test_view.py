"""The geometry of a point source: where points fall, and that rays pass through them."""

import math

import numpy as np
import pytest

from sample_images.bundle import Bundle, Lines
from sample_images.view import View

POINTS = [(1.3, 8.0, 0.0), (-2.0, -3.0, 1.7), (0.0, 12.0, -2.1), (0.4, 0.0, 3.0)]


def view(source_mm, tilt_deg=0.0, turn_deg=9.0):
    return View(0.025, (300.0, 200.0), turn_deg, tilt_deg, (10, 10), source_mm, 8.0)


def test_points_go_to_the_film_and_back():
    parallel = view(math.inf, 6.0)
    x, y = parallel.to_film(1.3, 8.0)
    across, along = parallel.from_film(np.array([x]), np.array([y]))
    assert across[0] == pytest.approx(1.3)
    assert along[0] == pytest.approx(8.0 * math.cos(math.radians(6.0)))


@pytest.mark.parametrize("source_mm", [200.0, 350.0, math.inf])
@pytest.mark.parametrize("tilt_deg", [-20.0, 0.0, 11.0])
@pytest.mark.parametrize("point", POINTS)
def test_the_ray_of_a_film_point_passes_through_what_falls_there(source_mm, tilt_deg, point):
    across, down, toward = point
    here = view(source_mm, tilt_deg)
    film = here.to_film(across, down, toward)
    t, w = here.from_film(*(np.array([value]) for value in film))
    line = Lines.through(t, w, tilt_deg, here.per_mm)
    assert line.x0[0] + line.x_slope[0] * toward == pytest.approx(across, abs=1e-9)
    assert line.z0[0] + line.z_slope[0] * toward == pytest.approx(down, abs=1e-9)


def test_rays_meet_in_the_source():
    here = view(250.0, 14.0)
    lines = Lines.through(np.array([-4.0, 0.0, 3.0]), np.array([9.0, 2.0, -6.0]), 14.0, 1 / 250)
    toward = 250 * math.cos(math.radians(here.tilt_deg))
    np.testing.assert_allclose(lines.x0 + lines.x_slope * toward, 0, atol=1e-9)
    above = -250 * math.sin(math.radians(here.tilt_deg))
    np.testing.assert_allclose(lines.z0 + lines.z_slope * toward, above, atol=1e-9)


@pytest.mark.parametrize("source_mm", [200.0, 350.0, math.inf])
@pytest.mark.parametrize("tilt_deg", [-20.0, 0.0, 11.0])
@pytest.mark.parametrize("down_mm", [0.0, 5.5, 14.0])
def test_tilt_at_a_height_is_that_of_the_ray_which_meets_the_axis_there(
    source_mm, tilt_deg, down_mm
):
    here = view(source_mm, tilt_deg)
    t, w = here.from_film(*(np.array([value]) for value in here.to_film(0.0, down_mm)))
    line = Lines.through(t, w, tilt_deg, here.per_mm)
    way = np.array([line.x_slope[0], 1.0, line.z_slope[0]])  # toward the tube
    above = -way[2] / np.linalg.norm(way)  # sine of the angle, positive on the platform's side
    assert here.tilt_at(down_mm) == pytest.approx(math.degrees(math.asin(above)), abs=1e-9)
    if down_mm == 0 or source_mm == math.inf:
        assert here.tilt_at(down_mm) == pytest.approx(tilt_deg)
    else:
        assert here.tilt_at(down_mm) > tilt_deg + 0.8


def test_scale_and_magnification_follow_the_distances():
    here = view(392.0)
    assert here.magnification == pytest.approx(400 / 392)
    assert here.receptor_mm_per_px == pytest.approx(0.025 * 400 / 392)
    assert here.mm_per_px_at(3.0) == pytest.approx(0.025 * (392 - 3) / 392)
    assert view(math.inf).mm_per_px_at(3.0) == 0.025


def test_a_focal_spot_throws_the_penumbra_of_similar_triangles():
    here = view(392.0)
    assert here.penumbra_px(0.7) * here.receptor_mm_per_px == pytest.approx(0.7 * 8 / 392)
    assert view(math.inf).penumbra_px(0.7) == 0


@pytest.mark.parametrize("x", [-2.0, -0.9, 0.9, 2.0])
@pytest.mark.parametrize("source_mm", [200.0, math.inf])
def test_distance_and_angle_along_a_ray_are_those_of_its_points(x, source_mm):
    lines = Lines.through(np.array([x]), np.array([4.0]), 12.0, 1 / source_mm)
    bundle = Bundle.along(lines, np.array([-2.0]), np.array([2.0]), 96)
    flat = np.broadcast_to(bundle.x, bundle.y.shape)
    np.testing.assert_allclose(bundle.r, np.hypot(flat, bundle.y), rtol=1e-5)
    off = np.exp(1j * bundle.phi) - np.exp(1j * np.arctan2(bundle.y, flat))
    lead_mm, micrometre = 2.0, 1e-3  # a thread this steep is displaced by less than that
    assert np.abs(off).max() * lead_mm / math.tau < micrometre
