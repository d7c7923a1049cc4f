"""Layout: everything a mark needs stands on the film, and nothing stands in anything else."""

from functools import cache
from itertools import pairwise

import pytest

from sample_images.scene import Wanted, compose
from sample_images.simulate import FAMILIES
from sample_images.truth import points_px

LEVELS = ("clean", "clinical", "hard")


@cache
def scenes(family, scale="ball", seeds=10):
    return tuple(
        compose(family, seed, level, None, Wanted(scale=scale))[0]
        for level in LEVELS
        for seed in range(seeds)
    )


def on_film(point, shape):
    return 0 <= point[0] < shape[1] and 0 <= point[1] < shape[0]


@pytest.mark.parametrize("family", FAMILIES)
def test_platform_ball_and_crests_are_on_the_film(family):
    for scene in scenes(family):
        points, shape = points_px(scene), scene.site.view.shape
        named = [*points["platform"], *points["ball"], points["ball_centre"]]
        assert all(on_film(point, shape) for point in (*named, *points["crests"].values()))
        room_mm = shape[0] * scene.site.view.mm_per_px
        if scene.fixture.length_mm < room_mm - 14:
            assert on_film(points["apex"], shape)


def test_a_rod_longer_than_the_film_leaves_it():
    outside = 0
    for scene in scenes("beyond_root_form"):
        points, shape = points_px(scene), scene.site.view.shape
        outside += not on_film(points["apex"], shape)
    assert outside > 5


@pytest.mark.parametrize("family", FAMILIES)
def test_ball_and_neighbours_stand_clear_of_the_body(family):
    for scene in scenes(family):
        site, reach = scene.site, scene.fixture.reach_mm
        left, right = site.mouth.teeth
        assert site.ball.x_mm - 2.5 > reach
        assert left.x_mm + left.width_mm / 2 < -reach
        assert right.x_mm - right.width_mm / 2 > site.ball.x_mm + 2.5


@pytest.mark.parametrize("family", FAMILIES)
def test_the_crest_line_runs_from_left_to_right(family):
    for scene in scenes(family):
        xs = [x for x, _ in scene.site.mouth.crest_knots_mm]
        assert all(a < b for a, b in pairwise(xs))


def test_a_callipered_neighbour_stands_whole_on_the_film():
    for family in ("external_hex_parallel", "blade_plate"):
        for scene in scenes(family, "line", seeds=20):
            points, shape = points_px(scene), scene.site.view.shape
            assert all(on_film(point, shape) for point in points["line"])


def test_a_film_is_no_larger_than_a_receptor():
    # ISO 3665 size 2: 31 x 41 mm, of which the implant's plane is a little smaller
    for family in ("blade_plate", "beyond_root_form", "external_hex_parallel", "mini_one_piece"):
        for scene in scenes(family):
            view = scene.site.view
            long, short = sorted((side * view.mm_per_px for side in view.shape), reverse=True)
            assert long <= 41.001
            assert short <= 31.0


def test_a_wide_body_is_taken_on_a_film_lying_on_its_side():
    for scene in scenes("blade_plate"):
        upright = scene.site.view.shape == (1000, 750)
        assert upright == (scene.fixture.reach_mm <= 5.5)


def test_another_number_of_rows_shows_the_same_field():
    one, _ = compose("tri_channel", 2, "hard", None, Wanted())
    two, _ = compose("tri_channel", 2, "hard", None, Wanted(rows=400))
    for key in ("tilt_deg", "turn_deg", "source_mm", "receptor_mm"):
        assert getattr(one.site.view, key) == getattr(two.site.view, key)
    assert two.site.view.shape == (400, 300)
    assert two.site.view.mm_per_px == pytest.approx(2.5 * one.site.view.mm_per_px)
    assert two.site.ball.x_mm == pytest.approx(one.site.ball.x_mm)
