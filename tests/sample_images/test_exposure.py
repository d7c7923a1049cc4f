"""What reaches the receptor: the mouth, the ball as a point source casts it, the penumbra."""

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from sample_images.anatomy import Mouth
from sample_images.ball_shadow import ball_chord_mm, ball_ends_px, cast_ball, shadow_px
from sample_images.bench import plain_cylinder
from sample_images.camera import Camera
from sample_images.exposure import receive, shade, tissue, transmission
from sample_images.rays import Part
from sample_images.site import BALL_MM, Ball, Site
from sample_images.solids import revolved
from sample_images.spectrum import few_energies
from sample_images.tooth import Tooth
from sample_images.view import View

VIEW = View(0.08, (60.0, 90.0), 4.0, 7.0, (220, 170), 250.0, 9.0)
BALL = Ball(6.2, -4.0, 4.0)
TOOTH = Tooth(-4.5, -1.5, 7.0, 7.5, 13.0, 7.0, 1, 0.02)
MOUTH = Mouth(((-6.0, 0.4), (0.0, 0.6), (9.0, 0.2)), (TOOTH,), 2.5, 7.0, 0.3, "none", 14.0)


@dataclass
class Rod:
    """A smooth rod of titanium, or nothing."""

    length_mm: float

    def parts(self):
        if not self.length_mm:
            return ()
        rod = revolved(plain_cylinder(1.9, self.length_mm))
        return (Part(lambda rays: (rod(rays),), ("titanium",), 1.91, 0.0, self.length_mm),)


@dataclass
class Bench:
    fixture: Rod
    seated: Rod
    site: Site
    camera: Camera


def scene(ball=None, view=VIEW, focal_spot_mm=0.0):
    site = Site("lower", "36", view, MOUTH, ball, (0.5, 0.5), ((-1.9, 0.5), (1.9, 0.5)))
    return Bench(Rod(8.0), Rod(0.0), site, Camera(focal_spot_mm=focal_spot_mm))


def exposed(*args, **kwargs):
    return transmission(scene(*args, **kwargs), np.random.default_rng(1)).signal


def test_metal_in_a_mouth_multiplies_energy_by_energy():
    here = scene()
    solids, rng = shade(here), np.random.default_rng
    bare = replace(solids, transmissions=np.ones_like(solids.transmissions))
    with_metal, without = (
        receive(here, each, tissue(here.site, rng(1))).signal for each in (solids, bare)
    )
    row, column = 150, 56
    alone = float(here.camera.beam().signal(solids.transmissions)[row, column])
    share = float(with_metal[row, column] / without[row, column])
    # the mouth has taken the soft photons already: metal behind it lets more of the rest through
    assert alone < 0.25
    assert 1.02 * alone < share < 1.6 * alone


def test_the_same_state_of_chance_gives_the_same_mouth_whatever_stands_in_it():
    here, longer = scene(), scene()
    longer.fixture = Rod(9.0)
    one, two = (transmission(each, np.random.default_rng(1)).signal for each in (here, longer))
    far = np.s_[:, 120:]
    np.testing.assert_array_equal(one[far], two[far])
    assert (one != two).any()


def test_the_variance_behind_metal_is_more_than_the_signal():
    seen = transmission(scene(), np.random.default_rng(1))
    assert seen.variance[150, 56] > 1.2 * seen.signal[150, 56]
    assert (seen.variance <= 1).all()


@pytest.mark.parametrize("view", [VIEW, replace(VIEW, source_mm=math.inf)])
def test_the_chord_through_the_ball_is_the_closed_form(view):
    x, y = np.meshgrid(np.linspace(100, 170, 15), np.linspace(10, 70, 15))
    found = ball_chord_mm(BALL, view, x, y)
    source = np.array([0, 0, min(view.source_mm, 1e8)])
    larger = view.enlargement(BALL.depth_mm)
    middle = np.array([BALL.x_mm / larger, BALL.y_mm / larger, BALL.depth_mm])
    points = np.stack([(x - 60) * 0.08, (y - 90) * 0.08, np.zeros_like(x)], axis=-1)
    way = (points - source) / np.linalg.norm(points - source, axis=-1)[..., None]
    beside = np.linalg.norm(np.cross(middle - source, way), axis=-1)
    chord = 2 * np.sqrt(np.clip(6.25 - beside**2, 0, None))
    np.testing.assert_allclose(found, chord, atol=1e-3 if view is VIEW else 0.05)


@pytest.mark.parametrize("angle", [0.0, 20.0, 90.0, 147.0])
@pytest.mark.parametrize("source_mm", [200.0, math.inf])
def test_the_balls_ends_are_where_its_chord_vanishes(angle, source_mm):
    view = replace(VIEW, source_mm=source_mm)
    middle, radius = shadow_px(BALL, view)
    for end in ball_ends_px(BALL, view, angle):
        for share, dark in ((0.999, True), (1.001, False)):
            x, y = (m + share * (e - m) for m, e in zip(middle, end, strict=True))
            assert (ball_chord_mm(BALL, view, np.array(x), np.array(y)) > 0) == dark
        assert math.dist(middle, end) == pytest.approx(radius, rel=0.004)
    expected = BALL_MM / 2 / view.mm_per_px_at(BALL.depth_mm)
    assert radius == pytest.approx(expected, rel=0.002)


def test_the_rendered_balls_middle_and_width_lie_within_five_micrometres():
    view = replace(VIEW, mm_per_px=0.025, platform_px=(-120.0, 260.0), shape=(220, 260))
    beam = few_energies(60, 2.0)
    through = np.ones((len(beam.weights), *view.shape), np.float32)
    cast_ball(through, BALL, view, beam)
    dark = through[0] < 0.5  # of the softest energy: steel is opaque but for the last micrometres
    y, x = np.nonzero(dark)
    (centre_x, centre_y), radius = shadow_px(BALL, view)
    assert x.mean() * 0.025 == pytest.approx(centre_x * 0.025, abs=0.005)
    assert y.mean() * 0.025 == pytest.approx(centre_y * 0.025, abs=0.005)
    assert math.sqrt(dark.sum() / math.pi) * 0.025 == pytest.approx(radius * 0.025, abs=0.005)


def test_a_ball_darkens_only_its_own_shadow():
    with_ball, without = exposed(BALL), exposed()
    (x, y), radius = shadow_px(BALL, VIEW)
    rows, columns = np.indices(VIEW.shape)
    outside = np.hypot(columns - x, rows - y) > radius + 2
    np.testing.assert_array_equal(with_ball[outside], without[outside])
    assert with_ball[round(y), round(x)] < 0.02 * without[round(y), round(x)]


def test_a_wide_focal_spot_softens_the_rim():
    near = replace(VIEW, mm_per_px=0.02, shape=(120, 120), platform_px=(10.0, 60.0), turn_deg=0.0)
    sharp, soft = (exposed(view=near, focal_spot_mm=spot)[100] for spot in (0.0, 1.2))
    steepest = [np.abs(np.diff(row[60:])).max() for row in (sharp, soft)]
    assert steepest[1] < 0.95 * steepest[0]
