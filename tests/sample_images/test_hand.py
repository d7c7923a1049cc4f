"""Marks: 2 to 6 px off, on the film, and of the scale asked for."""

import math

import numpy as np
import pytest

from features.marks import check_marks
from sample_images.hand import click, mark_scene
from sample_images.scene import KEYS as FAMILIES
from sample_images.scene import SCALES, Wanted, compose
from sample_images.truth import points_px


def marked(family, seed, level="clinical", **wanted):
    scene, streams = compose(family, seed, level, None, Wanted(**wanted))
    points = points_px(scene)
    return scene, points, mark_scene(scene, points, streams.hand)


@pytest.mark.parametrize("scale", SCALES)
def test_marks_lie_two_to_six_pixels_off_the_truth(scale):
    for seed in range(8):
        _, points, marks = marked("external_hex_parallel", seed, scale=scale)
        implant = marks["implants"][0]
        pairs = list(zip(implant["platform_px"], points["platform"], strict=True))
        pairs.append((implant["apex_px"], points["apex"]))
        if scale in ("ball", "line"):
            pairs += zip(marks["scale"]["ends_px"], points[scale], strict=True)
        for mark, true in pairs:
            assert 1.9 < math.dist(mark, true) < 6.1
        assert marks["scale"]["kind"] == scale
        assert (points["ball"] is not None) == (scale == "ball")
        assert (points["line"] is not None) == (scale == "line")


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("scale", SCALES)
def test_marks_are_a_valid_marks_file(family, scale):
    for seed in range(3):
        scene, _, marks = marked(family, seed, "hard", scale=scale)
        height, width = scene.site.view.shape
        checked = check_marks(marks, width=width, height=height)
        assert checked.scale.kind == scale


def test_a_pixel_size_is_the_receptors_with_the_magnification_users_assume():
    true = []
    for seed in range(80):
        scene, _, marks = marked("tri_channel", seed, scale="pixel")
        scale, view = marks["scale"], scene.site.view
        assert scale["mm_per_px"] == pytest.approx(view.receptor_mm_per_px, abs=1e-6)
        true.append(view.magnification)
        assumed, std = scale["magnification"], scale["std_magnification"]
    # what users assume must cover what the geometry gives: mean and spread within a third
    assert np.mean(true) == pytest.approx(assumed, abs=std / 3)
    assert np.std(true) == pytest.approx(std, rel=0.34)


def test_clicks_stay_on_the_film():
    rng = np.random.default_rng(1)
    for point in ([-300.0, 20.0], [20.0, 900.0], [0.0, 0.0]):
        x, y = click(point, (100, 80), rng)
        assert 0 <= x <= 79
        assert 0 <= y <= 99


def test_a_crown_hides_the_joint_on_some_films():
    joints = {
        marked("external_hex_parallel", seed)[2]["implants"][0]["joint"] for seed in range(60)
    }
    assert joints == {"seen", "guessed", "hidden"}
    bare = {
        marked("external_hex_parallel", seed, seated="nothing")[2]["implants"][0]["joint"]
        for seed in range(20)
    }
    assert bare == {"seen"}
