"""Paths and shadows against closed forms."""

import math

import numpy as np
import pytest

from sample_images.cross_hole import CrossHole
from sample_images.rays import Part, View, cast, path_lengths_mm
from sample_images.solids import Profile, prism, revolved, without
from sample_images.spectrum import few_energies, monochromatic

MICROMETRE = 1e-3
BEAM = monochromatic(45.0)


def part_of(field, reach_mm, top_mm, end_mm, samples=96):
    return Part(lambda rays: (field(rays),), ("titanium",), reach_mm, top_mm, end_mm, samples)


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


@pytest.mark.parametrize("source_mm", [200.0, math.inf])
@pytest.mark.parametrize("azimuth", [0.0, 10.0, 16.0, 17.5, 30.0])
def test_a_through_hole_opens_only_within_asin_of_its_width_over_the_body(azimuth, source_mm):
    width, body = 1.0, 3.5
    hole = CrossHole(3.0, width, width, azimuth)
    part = part_of(without(revolved(cylinder(body / 2)), hole.field()), 1.755, 0, 6, samples=400)
    # a source over the platform looks down on the hole, so that rays meet again on its far side
    across, view = np.linspace(-0.6, 0.6, 241), View(1.0, (0, 0), 0.0, 0.0, (1, 1), source_mm)
    along = np.full(241, view.to_film(0.0, 3.0)[1])
    thinnest = path_lengths_mm(part, across, along, 0.0, view.per_mm)[0].min()
    opens = azimuth < math.degrees(math.asin(width / body))
    assert (thinnest < MICROMETRE) == opens


@pytest.mark.parametrize("azimuth", [0.0, 16.0, 17.5])
def test_an_open_hole_shows_the_open_beam_on_a_film_from_a_point_source(azimuth):
    width, body, tilt = 1.0, 3.5, 8.0
    view = View(0.02, (30.0, -100.0), 0.0, tilt, (100, 61), 250.0)  # all of it behind metal
    tall = CrossHole(3.0, width, width + 2 * body * math.tan(math.radians(10)), azimuth)
    part = part_of(without(revolved(cylinder(body / 2)), tall.field()), 1.755, 0, 6, samples=400)
    brightest = cast((part,), view, BEAM).transmission.max()
    opens = azimuth < math.degrees(math.asin(width / body))
    assert (brightest > 0.999) == opens


@pytest.mark.parametrize("shift", [0.0, 0.13, 0.41, 0.77])
def test_a_rendered_platform_lies_within_five_micrometres(shift):
    mm_per_px = 0.025
    view = View(mm_per_px, (60.0, 40.0 + shift), 0.0, 0.0, (160, 121))
    part = part_of(revolved(cylinder(1.0, 2.0)), 1.005, 0, 2)
    transmission = cast((part,), view, BEAM).transmission
    column = transmission[:, 60]
    full = math.exp(-BEAM.mu_per_mm("titanium")[0] * 2.0)
    covered = ((1 - column) / (1 - full)).sum() * mm_per_px
    first = (1 - column[: 40 + 20]) / (1 - full)
    top = 40 + 20 - 0.5 - first.sum()
    assert covered == pytest.approx(2.0, abs=0.005)
    assert top * mm_per_px == pytest.approx((40 + shift) * mm_per_px, abs=0.005)


def test_a_rendered_wall_lies_within_five_micrometres():
    mm_per_px = 0.02
    view = View(mm_per_px, (99.37, 20.0), 0.0, 0.0, (80, 200))
    shadow = cast((part_of(revolved(cylinder(1.5, 3.0)), 1.505, 0, 3),), view, BEAM)
    # the mean path of a pixel column sums to the area of the cylinder's cross-section
    area = shadow.paths_mm[0][0][60].sum() * mm_per_px
    assert math.sqrt(area / math.pi) == pytest.approx(1.5, abs=0.002)
    u = (np.arange(200) - 99.37) * mm_per_px
    inside = np.flatnonzero(shadow.transmission[60] < 1)
    assert u[inside[0]] == pytest.approx(-1.5, abs=mm_per_px / 2 + 0.002)
    assert u[inside[-1]] == pytest.approx(1.5, abs=mm_per_px / 2 + 0.002)


@pytest.mark.parametrize("source_mm", [200.0, 400.0])
@pytest.mark.parametrize("tilt", [-20.0, 0.0, 9.0])
def test_path_of_a_point_sources_rays_through_a_cylinder_is_the_chord(source_mm, tilt):
    part = part_of(revolved(cylinder(1.8, 20.0)), 1.805, 0, 20)
    across, along = np.array([-1.7, -0.6, 0.0, 1.2]), np.array([6.0, 9.0, 11.0, 8.0])
    paths = path_lengths_mm(part, across, along, tilt, 1 / source_mm)[0]
    np.testing.assert_allclose(paths, chords(1.8, across, along, tilt, source_mm), atol=MICROMETRE)


def chords(radius, across, along, tilt, source_mm):
    """Chord of an endless cylinder for rays from a point, worked out in space."""
    cos, sin = math.cos(math.radians(tilt)), math.sin(math.radians(tilt))
    source = source_mm * np.array([0.0, cos, -sin])
    points = np.stack([across, along * sin, along * cos], axis=1)
    ways = points - source
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    steep = np.linalg.norm(ways[:, :2], axis=1)  # how square to the axis the ray is
    beside = np.abs(source[0] * ways[:, 1] - source[1] * ways[:, 0]) / steep
    return 2 * np.sqrt(radius**2 - beside**2) / steep


@pytest.mark.parametrize("tilt", [0.0, 17.0])
def test_path_of_a_point_sources_rays_through_a_sphere_is_the_chord(tilt):
    angle = np.linspace(0, math.pi, 721)
    ball = Profile(tuple(7 - 2 * np.cos(angle)), tuple(2 * np.sin(angle)))
    part = part_of(revolved(ball), 2.005, 5, 9)
    view = View(1.0, (0.0, 0.0), 0.0, tilt, (1, 1), 220.0)
    middle = np.array(view.to_film(0.0, 7.0))
    across, along = middle[:, None] + np.array([[-1.3, 0.0, 0.9], [0.4, 0.0, -1.2]])
    found = path_lengths_mm(part, across, along, tilt, view.per_mm)[0]
    depth = -7 * math.sin(math.radians(tilt))
    centre = np.array([0.0, 7 * math.cos(math.radians(tilt)), depth]) - [0, 0, 220.0]
    ways = np.stack([across, along, np.full(3, -220.0)], axis=1)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    beside = np.linalg.norm(np.cross(centre, ways), axis=1)
    np.testing.assert_allclose(found, 2 * np.sqrt(4 - beside**2), atol=2 * MICROMETRE)


@pytest.mark.parametrize("source_mm", [200.0, math.inf])
def test_path_through_a_slab_is_its_thickness_over_the_cosine(source_mm):
    slab = revolved(Profile((4.0, 5.5), (30.0, 30.0)))
    part = part_of(slab, 30.0, 4.0, 5.5)
    tilt, along = 20.0, np.array([1.0, 2.0])
    path = path_lengths_mm(part, np.zeros(2), along, tilt, 1 / source_mm)[0]
    source = source_mm if math.isfinite(source_mm) else 1e9
    ray = np.radians(tilt) + np.arctan(along / source)
    np.testing.assert_allclose(path, 1.5 / np.sin(ray), atol=MICROMETRE)


def test_a_thin_plate_in_a_wide_reach_is_as_thick_as_it_is():
    def plate(rays):
        return np.float32(0.6) - np.abs(rays.y)

    wide = Part(lambda rays: (plate(rays),), ("titanium",), 14.0, 0, 9, depth_mm=0.7)
    across = np.array([-13.0, 0.0, 7.0])
    path = path_lengths_mm(wide, across, np.full(3, 4.0), 0.0, 1 / 200)[0]
    longer = np.sqrt(200**2 + across**2 + 4**2) / 200
    np.testing.assert_allclose(path, 1.2 * longer, atol=MICROMETRE / 4)


@pytest.mark.parametrize("source_mm", [200.0, 400.0])
@pytest.mark.parametrize("middle", [99.37, 140.0])
def test_the_rendered_wall_of_a_point_source_lies_within_five_micrometres(source_mm, middle):
    """From the share of each edge pixel that is dark: blur-free, noise-free, nearly opaque."""
    mm_per_px, radius = 0.02, 1.5
    view = View(mm_per_px, (middle, 20.0), 0.0, 0.0, (40, 240), source_mm)
    rod = revolved(Profile((-3.0, 3.0), (radius, radius)))
    part = Part(lambda rays: (rod(rays),), ("gold_alloy",), radius + 0.005, -3, 3)
    row = cast((part,), view, monochromatic(16.0)).transmission[20]
    left, right = np.flatnonzero(row < 1)[[0, -1]]
    edges = np.array([left + row[left] - 0.5, right + 0.5 - row[right]])
    tangent = radius / math.sqrt(1 - (radius / source_mm) ** 2)
    np.testing.assert_allclose((edges - middle) * mm_per_px, [-tangent, tangent], atol=0.005)


def test_energies_are_averaged_after_attenuation_inside_an_edge_pixel():
    beam = few_energies(65, 2.0)
    view = View(0.05, (10.0, 10.25), 0.0, 0.0, (30, 21))
    part = part_of(revolved(cylinder(1.0, 0.8)), 1.005, 0, 0.8)
    shadow = cast((part,), view, beam)
    whole = float(beam.signal(np.exp(-beam.mu_per_mm("titanium") * 2.0)))
    # rim at 10.25: the pixel centred on 10 is metal over its last quarter
    assert shadow.transmission[10, 10] == pytest.approx(0.75 + 0.25 * whole, abs=0.04)
    assert shadow.transmission[15, 10] == pytest.approx(whole, rel=0.002)
    assert shadow.transmissions.shape == (len(beam.weights), 30, 21)
