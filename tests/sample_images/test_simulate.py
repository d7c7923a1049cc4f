"""Whole films: the same seed gives the same bytes, and the truth keeps its definitions."""

import ast
import hashlib
import json
import math
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import sample_images
from sample_images.demo_films import DEMO, FOLDER
from sample_images.simulate import FAMILIES, describe, simulate, write

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


@pytest.fixture(scope="module")
def films():
    """Two clean films, as pictures are slow to make."""
    names = ("pressfit_cylinder_plain_bore", "hollow_basket")
    return {family: simulate(family, 7, "clean") for family in names}


def test_the_same_seed_gives_the_same_bytes(tmp_path):
    digests = set()
    for folder in ("one", "two"):
        stem = write(simulate("tissue_level_cone", 3, "hard"), tmp_path / folder)
        names = sorted((tmp_path / folder).iterdir())
        assert [name.name for name in names] == [
            f"{stem}.marks.json",
            f"{stem}.png",
            f"{stem}.truth.json",
        ]
        digests.add(b"".join(hashlib.sha256(name.read_bytes()).digest() for name in names))
    assert stem == "tissue_level_cone-hard-3"
    assert len(digests) == 1


def test_another_seed_gives_another_implant():
    one, two = (describe("plateau_locking_taper", seed, "clean") for seed in (1, 2))
    assert one["measures"]["length_mm"] != two["measures"]["length_mm"]


def test_files_are_16_bit_grey_and_truth_is_strict_json(tmp_path, films):
    film = films["hollow_basket"]
    stem = write(film, tmp_path)
    with Image.open(tmp_path / f"{stem}.png") as image:
        assert image.size == (750, 1000)
        np.testing.assert_array_equal(np.asarray(image, np.uint16), film.pixels)
    text = (tmp_path / f"{stem}.truth.json").read_text(encoding="utf-8")
    truth = json.loads(text, parse_constant=pytest.fail)
    assert truth["radiofixture"] == "truth/1"
    assert truth["level"] == "clean"


@pytest.mark.parametrize("family", FAMILIES)
def test_truth_names_every_measure_and_finding(family):
    truth = describe(family, 7, "clean")
    assert set(truth["measures"]) == MEASURES
    assert set(truth["forms"]) == {"collar_form", "apex_form", "top_form", "thread_starts"}
    for finding in truth["findings"].values():
        assert set(finding) == {"there", "detectable"}
        assert finding["there"] or not finding["detectable"]
    threaded = truth["findings"]["threads"]["there"] or truth["findings"]["rings"]["there"]
    for key in ("thread_pitch_mm", "thread_depth_mm", "collar_height_mm"):
        assert (truth["measures"][key] is not None) == threaded


@pytest.mark.parametrize("family", FAMILIES)
def test_points_lie_as_far_apart_as_the_implant_is_long_and_wide(family):
    truth = describe(family, 7, "clean")
    (left, right), apex = truth["points_px"]["platform"], truth["points_px"]["apex"]
    scale, measures = truth["mm_per_px"], truth["measures"]
    assert math.dist(left, right) * scale == pytest.approx(measures["platform_width_mm"])
    middle = [(a + b) / 2 for a, b in zip(left, right, strict=True)]
    assert math.dist(middle, apex) * scale == pytest.approx(measures["length_mm"])  # no tilt


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


def along_axis(film, z_mm, span_mm=4.0):
    """Grey values across the implant `z_mm` below the platform, and where off the axis."""
    truth = film.truth
    left, right = (np.array(end) for end in truth["points_px"]["platform"])
    apex = np.array(truth["points_px"]["apex"])
    across = (right - left) / np.linalg.norm(right - left)
    middle = (left + right) / 2
    down = (apex - middle) / np.linalg.norm(apex - middle)
    t = np.arange(-span_mm, span_mm, 0.005)
    points = middle + (z_mm * down + t[:, None] * across) / truth["mm_per_px"]
    columns, rows = np.round(points).astype(int).T
    return t, film.pixels[rows, columns].astype(float)


def width_at(film, z_mm):
    """Width between the two steepest places of a smooth wall, mm."""
    t, grey = along_axis(film, z_mm)
    steep = np.convolve(grey, np.repeat([1.0, -1.0], 10), mode="same")
    near = (np.abs(t) > 1.0) & (np.abs(t) < 3.0)
    rise, fall = np.where(near & (t < 0), steep, 0), np.where(near & (t > 0), steep, 0)
    return t[np.argmin(fall)] - t[np.argmax(rise)]


def test_the_film_shows_the_width_the_truth_states(films):
    film = films["pressfit_cylinder_plain_bore"]
    widths = [width_at(film, z) for z in np.arange(2.6, 6.0, 0.2)]
    # the steepest place lies a little inside a round wall; this only guards against a gross slip
    assert np.median(widths) == pytest.approx(film.truth["measures"]["coronal_width_mm"], abs=0.12)


def test_an_upper_jaw_stands_the_other_way_up():
    lower = describe("plateau_locking_taper", 4, "clean", jaw="lower")
    upper = describe("plateau_locking_taper", 4, "clean", jaw="upper")
    assert lower["points_px"]["apex"][1] > lower["points_px"]["platform"][0][1]
    assert upper["points_px"]["apex"][1] < upper["points_px"]["platform"][0][1]
    assert upper["view"]["tooth"][0] in "12"
    assert lower["view"]["tooth"][0] in "34"


@pytest.mark.parametrize("scale", ["ball", "line", "none"])
def test_marks_lie_two_to_six_pixels_off_the_truth(scale):
    film = simulate("external_hex_parallel", 5, "clinical", scale=scale)
    points, implant = film.truth["points_px"], film.marks["implants"][0]
    pairs = list(zip(implant["platform_px"], points["platform"], strict=True))
    pairs.append((implant["apex_px"], points["apex"]))
    if scale != "none":
        pairs += zip(film.marks["scale"]["ends_px"], points[scale], strict=True)
    for marked, true in pairs:
        assert 1.9 < math.dist(marked, true) < 6.1
    assert film.marks["scale"]["kind"] == scale
    assert (points["ball"] is not None) == (scale == "ball")


def test_the_ball_is_five_millimetres_at_its_own_depth():
    truth = describe("tri_channel", 2, "clinical")
    wide = math.dist(*truth["points_px"]["ball"]) * truth["mm_per_px"]
    assert truth["ball_depth_mm"] != 0
    assert wide == pytest.approx(5.0 * (1 + 0.003 * truth["ball_depth_mm"]))


def test_the_ball_on_the_film_lies_where_the_truth_says(films):
    film = films["pressfit_cylinder_plain_bore"]
    ends = np.array(film.truth["points_px"]["ball"])
    middle, radius = ends.mean(axis=0), np.linalg.norm(ends[1] - ends[0]) / 2
    x0, y0 = (int(value) for value in middle - radius - 12)
    size = int(2 * radius + 24)
    box = film.pixels[y0 : y0 + size, x0 : x0 + size].astype(float)
    share = np.clip((box - box.min()) / (np.median(box[size // 2]) - box.min()), 0, 1)
    inside = share > 0.5
    y, x = np.nonzero(inside)
    assert x.mean() + x0 == pytest.approx(middle[0], abs=0.15)
    assert y.mean() + y0 == pytest.approx(middle[1], abs=0.15)
    assert math.sqrt(inside.sum() / math.pi) == pytest.approx(radius, rel=0.006)


def test_a_seated_part_covers_the_top():
    for seed in range(6):
        truth = describe("bone_level_cone", seed, "clinical", seated="abutment and crown")
        assert truth["forms"]["top_form"] == "covered"
        assert truth["seated"] == "abutment and crown"


def test_describe_tells_the_truth_of_the_film_it_does_not_make(films):
    for family, film in films.items():
        assert describe(family, 7, "clean") == film.truth


def test_a_vent_is_detectable_only_when_it_opens_toward_the_beam():
    seen = set()
    for seed in range(1, 9):
        truth = describe("pressfit_cylinder_plain_bore", seed, "clean")
        for vent in truth["vents"]:
            limit = math.degrees(math.asin(vent["width_mm"] / truth["measures"]["apical_width_mm"]))
            assert vent["detectable"] == (abs(vent["azimuth_deg"]) < limit)
            seen.add(vent["detectable"])
    assert seen == {True, False}


def test_what_is_not_known_is_refused():
    with pytest.raises(ValueError, match="'level' must be one of clean, clinical, hard"):
        simulate("hollow_basket", 1, "perfect")
    with pytest.raises(ValueError, match="no recipe for 'wooden_peg'"):
        simulate("wooden_peg", 1)


def test_the_demo_holds_six_families_with_marks_and_truth():
    assert len({family for family, _, _ in DEMO}) == 6
    kinds = set()
    for family, seed, scale in DEMO:
        stem = f"{family}-clinical-{seed}"
        with Image.open(FOLDER / f"{stem}.png") as image:
            assert image.size == (750, 1000)
        assert (FOLDER / f"{stem}.png").stat().st_size < 700_000
        marks = json.loads((FOLDER / f"{stem}.marks.json").read_text(encoding="utf-8"))
        truth = json.loads((FOLDER / f"{stem}.truth.json").read_text(encoding="utf-8"))
        assert truth["family"] == family
        assert marks["scale"]["kind"] == scale
        kinds.add(scale)
    assert kinds == {"ball", "line"}


def test_the_renderer_imports_nothing_of_ours():
    for path in Path(sample_images.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                assert name.split(".")[0] not in {"features", "identify", "app"}, path.name


@pytest.mark.parametrize("family", FAMILIES)
def test_any_seed_makes_an_implant_that_could_be_made(family):
    for seed in range(60):
        truth = describe(family, seed, "hard")
        measures = truth["measures"]
        assert all(value is None or math.isfinite(value) for value in measures.values())
        assert 2.5 < measures["bore_depth_mm"] < measures["length_mm"] - 1
        assert measures["bore_width_mm"] < measures["core_width_mm"]
        assert measures["bore_mouth_mm"] < measures["platform_width_mm"]
        assert abs(measures["tilt_deg"]) <= 15
        if measures["thread_depth_mm"] is not None:
            assert measures["thread_depth_mm"] > 0.2
        for x, y in (*truth["points_px"]["platform"], truth["points_px"]["apex"]):
            assert 0 <= x < 750
            assert 0 <= y < 1000
        for x, y in truth["points_px"]["ball"]:
            assert 0 <= x < 750
            assert 0 <= y < 1000


def test_a_callipered_neighbour_stands_whole_on_the_film():
    for seed in range(40):
        for level in ("clean", "clinical", "hard"):
            truth = describe("external_hex_parallel", seed, level, scale="line")
            for x, y in truth["points_px"]["line"]:
                assert 0 <= x < 750
                assert 0 <= y < 1000


def test_a_bore_wider_than_its_body_is_refused():
    with pytest.raises(ValueError, match="its bore does not fit into its body"):
        describe("pressfit_cylinder_plain_bore", 1, "clean", {"well_width_mm": (3.9, 4.0)})
