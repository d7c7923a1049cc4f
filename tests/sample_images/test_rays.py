"""Paths and shadows against closed forms."""

import math

import numpy as np
import pytest

from sample_images.rays import Part, View, cast, path_lengths_mm
from sample_images.solids import CrossHole, Profile, prism, revolved, without

MICROMETRE = 1e-3


def part_of(field, reach_mm, top_mm, end_mm, samples=96):
    return Part(lambda rays: (field(rays),), (0.7,), reach_mm, top_mm, end_mm, samples)


def cylinder(radius_mm, length_mm=6.0):
    return Profile((0.0, length_mm), (radius_mm, radius_mm))


@pytest.mark.parametrize("radius", [0.8, 1.65, 2.4])
def test_path_through_a_cylinder_is_the_chord(radius):
    across = np.linspace(0, radius - 0.005, 60)
    part = part_of(revolved(cylinder(radius)), radius + 0.005, 0, 6)
    paths = path_lengths_mm(part, across, np.full(60, 3.0), 0.0)[0]
    np.testing.assert_allclose(paths, 2 * np.sqrt(radius**2 - across**2), atol=MICROMETRE)


def test_a_cylinder_ends_within_a_micrometre_of_its_radius():
    part = part_of(revolved(cylinder(2.0)), 2.005, 0, 6)
    just_in, just_out = path_lengths_mm(part, np.array([1.9995, 2.0005]), np.full(2, 3.0), 0.0)[0]
    assert just_in > 0
    assert just_out == 0


def test_path_through_a_tilted_cylinder_grows_by_the_secant():
    part = part_of(revolved(cylinder(1.5, 12)), 1.505, 0, 12)
    for tilt in (-15.0, 7.0):
        path = path_lengths_mm(part, np.array([0.4]), np.array([6.0]), tilt)[0, 0]
        chord = 2 * math.sqrt(1.5**2 - 0.4**2) / math.cos(math.radians(tilt))
        assert path == pytest.approx(chord, abs=MICROMETRE)


def test_path_through_a_sphere_is_the_chord():
    angle = np.linspace(0, math.pi, 721)
    ball = Profile(tuple(2 - 2 * np.cos(angle)), tuple(2 * np.sin(angle)))
    part = part_of(revolved(ball), 2.005, 0, 4)
    across, along = np.array([0.0, 0.7, 1.4]), np.array([2.0, 1.1, 2.6])
    chord = 2 * np.sqrt(4 - across**2 - (along - 2) ** 2)
    for tilt in (0.0, 12.0):  # a sphere's middle at z = 2 moves to 2 cos(tilt)
        shifted = along - 2 + 2 * math.cos(math.radians(tilt))
        paths = path_lengths_mm(part, across, shifted, tilt)[0]
        np.testing.assert_allclose(paths, chord, atol=2 * MICROMETRE)


def test_path_through_a_cone_is_the_chord_at_every_height():
    part = part_of(revolved(Profile((0.0, 8.0), (2.0, 1.2))), 2.005, 0, 8)
    along = np.array([1.0, 4.0, 7.0])
    paths = path_lengths_mm(part, np.full(3, 0.5), along, 0.0)[0]
    np.testing.assert_allclose(paths, 2 * np.sqrt((2 - 0.1 * along) ** 2 - 0.25), atol=MICROMETRE)


def test_a_hexagon_is_as_thick_as_its_flats_are_apart():
    flat_on = part_of(prism(6, 2.7, 0, 1, 90.0), 1.7, 0, 1)
    corner_on = part_of(prism(6, 2.7, 0, 1, 0.0), 1.7, 0, 1)
    at = np.array([0.0]), np.array([0.5])
    assert path_lengths_mm(flat_on, *at, 0.0)[0, 0] == pytest.approx(2.7, abs=MICROMETRE)
    corners = 2.7 / math.cos(math.radians(30))
    assert path_lengths_mm(corner_on, *at, 0.0)[0, 0] == pytest.approx(corners, abs=0.01)


@pytest.mark.parametrize("azimuth", [0.0, 10.0, 16.0, 17.5, 30.0])
def test_a_through_hole_opens_only_within_asin_of_its_width_over_the_body(azimuth):
    width, body = 1.0, 3.5
    hole = CrossHole(3.0, width, width, azimuth)
    part = part_of(without(revolved(cylinder(body / 2)), hole.field()), 1.755, 0, 6, samples=400)
    across = np.linspace(-0.6, 0.6, 241)
    thinnest = path_lengths_mm(part, across, np.full(241, 3.0), 0.0)[0].min()
    opens = azimuth < math.degrees(math.asin(width / body))
    assert (thinnest < MICROMETRE) == opens


def rendered_edge_px(pixels, row):
    """Where the shadow begins, from the share of the first pixel that it covers."""
    dark = 1 - pixels[row]
    return int(np.flatnonzero(dark > 1e-9)[0])


@pytest.mark.parametrize("shift", [0.0, 0.13, 0.41, 0.77])
def test_a_rendered_platform_lies_within_five_micrometres(shift):
    mm_per_px = 0.025
    view = View(mm_per_px, (60.0, 40.0 + shift), 0.0, 0.0, (160, 121))
    part = part_of(revolved(cylinder(1.0, 2.0)), 1.005, 0, 2)
    transmission = cast((part,), view).transmission
    column = transmission[:, 60]
    full = math.exp(-0.7 * 2.0)
    covered = ((1 - column) / (1 - full)).sum() * mm_per_px
    first = (1 - column[: 40 + 20]) / (1 - full)
    top = 40 + 20 - 0.5 - first.sum()
    assert covered == pytest.approx(2.0, abs=0.005)
    assert top * mm_per_px == pytest.approx((40 + shift) * mm_per_px, abs=0.005)


def test_a_rendered_wall_lies_within_five_micrometres():
    mm_per_px = 0.02
    view = View(mm_per_px, (99.37, 20.0), 0.0, 0.0, (80, 200))
    shadow = cast((part_of(revolved(cylinder(1.5, 3.0)), 1.505, 0, 3),), view)
    # the mean path of a pixel column sums to the area of the cylinder's cross-section
    area = shadow.paths_mm[0][0][60].sum() * mm_per_px
    assert math.sqrt(area / math.pi) == pytest.approx(1.5, abs=0.002)
    u = (np.arange(200) - 99.37) * mm_per_px
    inside = np.flatnonzero(shadow.transmission[60] < 1)
    assert u[inside[0]] == pytest.approx(-1.5, abs=mm_per_px / 2 + 0.002)
    assert u[inside[-1]] == pytest.approx(1.5, abs=mm_per_px / 2 + 0.002)


def test_points_go_to_the_film_and_back():
    view = View(0.025, (300.0, 200.0), 9.0, 6.0, (10, 10))
    x, y = view.to_film(1.3, 8.0)
    across, along = view.from_film(np.array([x]), np.array([y]))
    assert across[0] == pytest.approx(1.3)
    assert along[0] == pytest.approx(8.0 * math.cos(math.radians(6.0)))
