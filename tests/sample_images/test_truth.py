"""The truth keeps its definitions, for every family."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from sample_images.scene import NO_IMPLANT, STRANGERS, Wanted, compose
from sample_images.simulate import FAMILIES, describe
from sample_images.truth import tell

MEASURES = {
    "length_mm",
    "platform_width_mm",
    "coronal_width_mm",
    "apical_width_mm",
    "core_width_mm",
    "taper_deg",
    "thread_pitch_mm",
    "thread_depth_mm",
    "bore_width_mm",
    "bore_depth_mm",
    "bore_mouth_mm",
    "bore_cone_deg",
    "collar_height_mm",
    "tilt_deg",
    "crest_mesial_mm",
    "crest_distal_mm",
}
BORE = ("bore_width_mm", "bore_depth_mm", "bore_mouth_mm", "bore_cone_deg")
FORMS = {
    "collar_form": {"flush", "flared", "back-tapered"},
    "apex_form": {"flat", "dome", "pointed", "open"},
    "top_form": {"nothing", "male prism", "tines", "post", "ball", "covered"},
    "thread_starts": {"odd", "even", "rings", None},
    "connection_depth": {"none", "shallow", "deep", "no screw", None},
    "opening_wall": {"short", "long", None},
}


@pytest.mark.parametrize("family", FAMILIES)
def test_truth_names_every_measure_form_and_finding(family):
    for seed in range(4):
        truth = describe(family, seed, "clinical")
        measures, findings = truth["measures"], truth["findings"]
        assert set(measures) == MEASURES
        assert all(value is None or math.isfinite(value) for value in measures.values())
        assert set(truth["forms"]) == set(FORMS)
        for form, states in FORMS.items():
            assert truth["forms"][form] in states
        for finding in findings.values():
            assert set(finding) == {"there", "detectable"}
            assert finding["there"] or not finding["detectable"]
        threaded = findings["threads"]["there"] or findings["rings"]["there"]
        assert (measures["thread_pitch_mm"] is not None) == threaded
        assert (measures["thread_depth_mm"] is not None) == threaded
        assert all((measures[key] is not None) == findings["bore"]["there"] for key in BORE)
        assert (truth["forms"]["thread_starts"] is not None) == threaded
        assert findings["vents"]["there"] == bool(truth["vents"])
        assert truth["detectable_by"] == "rule"


@pytest.mark.parametrize("family", FAMILIES)
def test_measures_agree_with_each_other(family):
    for seed in range(8):
        truth = describe(family, seed, "hard")
        measures = truth["measures"]
        assert abs(truth["geometry"]["tilt_deg"]) <= 20
        lost = measures["coronal_width_mm"] - measures["apical_width_mm"]
        # half-angle through the widths at a quarter and three quarters, half the length apart
        taper = math.degrees(math.atan(lost / measures["length_mm"]))
        assert measures["taper_deg"] == pytest.approx(taper, abs=1e-6)
        if measures["bore_depth_mm"] is not None:
            assert 1.0 < measures["bore_depth_mm"] < measures["length_mm"]
            assert measures["bore_mouth_mm"] < measures["platform_width_mm"]
        if measures["thread_depth_mm"] is not None:
            assert measures["thread_depth_mm"] > 0.05
            assert measures["core_width_mm"] > 0.5
        if measures["collar_height_mm"] is not None:
            assert 0 <= measures["collar_height_mm"] < measures["length_mm"]
        for crest in ("crest_mesial_mm", "crest_distal_mm"):
            assert 0 < measures[crest] <= 0.6 * measures["length_mm"]


@pytest.mark.parametrize("family", FAMILIES)
def test_points_lie_as_far_apart_as_the_implant_is_long_and_wide(family):
    truth = describe(family, 7, "clean")
    (left, right), apex = truth["points_px"]["platform"], truth["points_px"]["apex"]
    scale, measures = truth["mm_per_px"], truth["measures"]
    assert math.dist(left, right) * scale == pytest.approx(measures["platform_width_mm"])
    middle = [(a + b) / 2 for a, b in zip(left, right, strict=True)]
    assert math.dist(middle, apex) * scale == pytest.approx(measures["length_mm"])  # no tilt


def test_a_tilted_apex_is_where_a_point_source_casts_it():
    seen = 0
    for seed in range(12):
        truth = describe("bone_level_cone", seed, "hard")
        (left, right), apex = truth["points_px"]["platform"], truth["points_px"]["apex"]
        middle = [(a + b) / 2 for a, b in zip(left, right, strict=True)]
        length, geometry = truth["measures"]["length_mm"], truth["geometry"]
        tilt, source = math.radians(geometry["tilt_deg"]), geometry["source_mm"]
        # similar triangles: the apex lies length sin(tilt) behind the platform's plane
        shadow = length * math.cos(tilt) * source / (source + length * math.sin(tilt))
        assert math.dist(middle, apex) * truth["mm_per_px"] == pytest.approx(shadow, rel=1e-9)
        seen += abs(geometry["tilt_deg"]) > 8
    assert seen > 3


def test_tilt_is_that_of_the_ray_through_the_middle_of_the_body():
    for seed in range(6):
        scene, _ = compose("external_spline", seed, "hard", None, Wanted())
        told, view = tell(scene), scene.site.view
        half, central = scene.fixture.length_mm / 2, math.radians(told["geometry"]["tilt_deg"])
        # the source stands this high above the platform and this far from the axis
        above, away = view.source_mm * math.sin(central), view.source_mm * math.cos(central)
        middle = math.degrees(math.atan2(above + half, away))
        assert told["measures"]["tilt_deg"] == pytest.approx(middle)
        assert 0.4 < middle - told["geometry"]["tilt_deg"] < 2.5


def test_depth_and_core_are_those_beside_a_plain_band_at_mid_length():
    seen = 0
    for seed in range(30):
        scene, _ = compose("porous_surfaced", seed, "clean", None, Wanted())
        body, measures = scene.fixture, tell(scene)["measures"]
        if not body.threads or float(body.depth_mm(body.length_mm / 2)) > 0:
            continue
        assert measures["thread_depth_mm"] == max(body.threads[-1].depth.value) > 0.1
        cut = 2 * float(body.envelope(body.length_mm / 2)) - measures["core_width_mm"]
        assert cut == pytest.approx(2 * measures["thread_depth_mm"])
        seen += 1
    assert seen > 2


def test_the_geometry_magnifies_as_the_distances_say():
    for seed in range(10):
        truth = describe("tri_channel", seed, "clinical")
        geometry = truth["geometry"]
        assert 200 <= geometry["source_mm"] <= 400
        assert 3 <= geometry["receptor_mm"] <= 15
        magnified = (geometry["source_mm"] + geometry["receptor_mm"]) / geometry["source_mm"]
        assert geometry["magnification"] == pytest.approx(magnified)
        assert geometry["receptor_mm_per_px"] == pytest.approx(magnified * truth["mm_per_px"])


def test_the_balls_ends_are_where_rays_graze_a_ball_of_five_millimetres_at_its_own_depth():
    for seed in range(1, 5):
        scene, _ = compose("tri_channel", seed, "clinical", None, Wanted())
        told, ball, view = tell(scene), scene.site.ball, scene.site.view
        source = np.array([0.0, 0.0, view.source_mm])
        larger = view.source_mm / (view.source_mm - ball.depth_mm)
        centre = np.array([ball.x_mm / larger, ball.y_mm / larger, ball.depth_mm])
        for end in told["points_px"]["ball"]:
            at = end if scene.site.jaw == "lower" else turned(end, view.shape)
            point = np.append((np.array(at) - view.platform_px) * view.mm_per_px, 0.0)
            way = (point - source) / np.linalg.norm(point - source)
            miss = np.linalg.norm(np.cross(centre - source, way))
            assert miss == pytest.approx(2.5, abs=1e-6)
        assert ball.depth_mm != 0


def turned(point, shape):
    """Point of a film turned half round."""
    return [shape[1] - 1 - point[0], shape[0] - 1 - point[1]]


def test_taper_is_the_half_angle_through_the_widths_at_a_quarter_and_three_quarters():
    facts = {"taper_deg": (3.0, 3.0), "length_mm": (12.0, 12.0), "body_width_mm": (4.4, 4.4)}
    measures = describe("internal_hex_tapered", 1, "clean", facts)["measures"]
    assert measures["taper_deg"] == pytest.approx(3.0, abs=1e-6)
    narrower = 2 * 6.0 * math.tan(math.radians(3.0))
    lost = measures["coronal_width_mm"] - measures["apical_width_mm"]
    assert lost == pytest.approx(narrower, abs=1e-6)
    assert measures["core_width_mm"] == pytest.approx(
        (measures["coronal_width_mm"] + measures["apical_width_mm"]) / 2
        - 2 * measures["thread_depth_mm"],
        abs=1e-6,
    )


def test_a_seated_part_covers_the_top():
    for kind in ("cover screw", "healing part"):
        truth = describe("bone_level_cone", 3, "clinical", seated=kind)
        assert truth["forms"]["top_form"] == "covered"
        assert truth["seated"] == kind
    assert describe("bone_level_cone", 3, seated="nothing")["forms"]["top_form"] == "nothing"


def test_an_inset_is_told_of_what_is_seated_by_the_shelf_it_leaves():
    facts = {"inset": {"present": 1.0, "absent": 0.0}}
    level = {"inset": {"present": 0.0, "absent": 1.0}}

    def there(facts, kind):
        truth = describe("bone_level_cone", 3, "clinical", facts, seated=kind)
        return truth["findings"]["inset"]["there"]

    assert there(facts, "metal crown")
    assert not there(level, "metal crown")
    assert not there(facts, "nothing")


def test_a_vent_is_held_detectable_only_when_it_opens_toward_the_beam():
    seen = set()
    for seed in range(1, 9):
        truth = describe("pressfit_cylinder_plain_bore", seed, "clean")
        for vent in truth["vents"]:
            limit = math.degrees(math.asin(vent["width_mm"] / truth["measures"]["apical_width_mm"]))
            assert vent["detectable"] == (abs(vent["azimuth_deg"]) < limit)
            assert vent["open"] == vent["detectable"]
            seen.add(vent["detectable"])
    assert seen == {True, False}


def test_crest_points_lie_on_the_bones_line_and_on_the_implants_outline():
    for family in ("external_hex_parallel", "tissue_level_cone", "blade_plate"):
        for jaw in ("lower", "upper"):
            scene, _ = compose(family, 5, "clinical", None, Wanted(jaw=jaw))
            for x, y in scene.site.crest_points_mm:
                assert float(scene.site.mouth.crest_y_mm(x)) == pytest.approx(y, abs=1e-6)
            told = tell(scene)
            platform = np.array(told["points_px"]["platform"])
            for side, crest in told["points_px"]["crests"].items():
                # the nearer platform end is on its own side: mesial is left in quadrants 2 and 3
                at = int(np.argmin(np.hypot(*(platform - crest).T)))
                end = "left" if platform[at][0] == platform[:, 0].min() else "right"
                tooth = told["view"]["tooth"]
                assert end == ("left" if (side == "mesial") == (tooth[0] in "23") else "right")


def test_a_crest_higher_on_the_left_is_told_of_the_left():
    for jaw in ("lower", "upper"):
        scene, _ = compose("external_hex_parallel", 5, "clean", None, Wanted(jaw=jaw))
        site = replace(scene.site, crests_mm=(1.0, 2.0))
        told = tell(replace(scene, site=site))
        left_is_first = jaw == "lower"
        mesial_first = left_is_first == (site.tooth[0] in "23")
        expected = (1.0, 2.0) if mesial_first else (2.0, 1.0)
        assert (
            told["measures"]["crest_mesial_mm"],
            told["measures"]["crest_distal_mm"],
        ) == expected


def test_levels_tilt_and_turn_more_as_they_get_harder():
    spread = {}
    for level in ("clean", "clinical", "hard"):
        told = [describe("tri_channel", seed, level) for seed in range(60)]
        spread[level] = max(abs(truth["geometry"]["tilt_deg"]) for truth in told)
    assert spread["clean"] == 0
    assert 8 < spread["clinical"] <= 10
    assert 16 < spread["hard"] <= 20
    assert all(a < b for a, b in pairwise(spread.values()))


@pytest.mark.parametrize("key", STRANGERS)
def test_a_stranger_has_a_truth_like_any_implant_but_no_family(key):
    truth = describe(key, 4, "clinical")
    assert (truth["key"], truth["family"], truth["group"]) == (key, "none_of_these", None)
    assert set(truth["measures"]) == MEASURES
    assert truth["measures"]["length_mm"] > 5


@pytest.mark.parametrize("key", NO_IMPLANT)
def test_what_is_no_implant_has_points_but_no_measures(key):
    truth = describe(key, 4, "clinical")
    assert (truth["key"], truth["family"], truth["group"]) == (key, "not_an_implant", None)
    assert set(truth["measures"]) == MEASURES
    assert set(truth["measures"].values()) == {None}
    assert set(truth["forms"].values()) == {None}
    assert not any(finding["there"] for finding in truth["findings"].values())
    assert truth["vents"] == []
    assert truth["seated"] == "nothing"
    assert len(truth["points_px"]["platform"]) == 2
