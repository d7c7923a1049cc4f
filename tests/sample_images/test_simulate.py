"""Whole films: the same seed gives the same bytes, and films show what their truth states."""

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

ROWS, COLUMNS = 400, 300


@pytest.fixture(scope="module")
def films():
    """Two clean films, as pictures are slow to make."""
    names = ("pressfit_cylinder_plain_bore", "hollow_basket")
    return {family: simulate(family, 7, "clean", rows=ROWS) for family in names}


def test_the_same_seed_gives_the_same_bytes(tmp_path):
    digests = set()
    for folder in ("one", "two"):
        stem = write(simulate("tissue_level_cone", 3, "hard", rows=300), tmp_path / folder)
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


def test_a_film_has_a_thousand_rows_unless_asked_otherwise():
    truth = describe("tri_channel", 1)
    assert truth["film"] == {"width": 750, "height": 1000}
    assert truth["asked"]["rows"] == 1000


def test_files_are_16_bit_grey_and_truth_is_strict_json(tmp_path, films):
    film = films["hollow_basket"]
    stem = write(film, tmp_path)
    with Image.open(tmp_path / f"{stem}.png") as image:
        assert image.size == (COLUMNS, ROWS)
        np.testing.assert_array_equal(np.asarray(image, np.uint16), film.pixels)
    text = (tmp_path / f"{stem}.truth.json").read_text(encoding="utf-8")
    truth = json.loads(text, parse_constant=pytest.fail)
    assert truth["radiofixture"] == "truth/1"
    assert truth["level"] == "clean"


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
    assert np.median(widths) == pytest.approx(film.truth["measures"]["coronal_width_mm"], abs=0.16)


def test_an_upper_jaw_stands_the_other_way_up():
    lower = describe("plateau_locking_taper", 4, "clean", jaw="lower")
    upper = describe("plateau_locking_taper", 4, "clean", jaw="upper")
    assert lower["points_px"]["apex"][1] > lower["points_px"]["platform"][0][1]
    assert upper["points_px"]["apex"][1] < upper["points_px"]["platform"][0][1]
    assert upper["view"]["tooth"][0] in "12"
    assert lower["view"]["tooth"][0] in "34"


@pytest.mark.parametrize("jaw", ["lower", "upper"])
def test_the_ball_on_the_film_lies_where_the_truth_says(jaw):
    film = simulate("external_hex_parallel", 9, "clinical", rows=500, jaw=jaw)
    ends, middle = (np.array(film.truth["points_px"][key]) for key in ("ball", "ball_centre"))
    radius = np.linalg.norm(ends[1] - ends[0]) / 2
    # a limb leads the middle by less than a thousandth of the ball
    np.testing.assert_allclose(ends.mean(axis=0), middle, atol=1e-3 * radius)
    x0, y0 = (int(value) for value in middle - radius - 8)
    size = int(2 * radius + 16)
    box = film.pixels[y0 : y0 + size, x0 : x0 + size].astype(float)
    share = np.clip((box - box.min()) / (np.median(box[size // 2]) - box.min()), 0, 1)
    y, x = np.nonzero(share > 0.5)
    assert x.mean() + x0 == pytest.approx(middle[0], abs=0.3)
    assert y.mean() + y0 == pytest.approx(middle[1], abs=0.3)
    # half of the grey scale is not half of the beam where the tone bends: a guard against a slip
    assert math.sqrt(len(x) / math.pi) == pytest.approx(radius, rel=0.02)


def test_describe_tells_the_truth_of_the_film_it_does_not_make(films):
    for family, film in films.items():
        assert describe(family, 7, "clean", rows=ROWS) == film.truth


def test_what_is_not_known_is_refused():
    with pytest.raises(ValueError, match="'level' must be one of clean, clinical, hard"):
        simulate("hollow_basket", 1, "perfect")
    with pytest.raises(ValueError, match="no recipe for 'wooden_peg'"):
        simulate("wooden_peg", 1)
    with pytest.raises(ValueError, match="'scale' must be one of ball, line, pixel, none"):
        simulate("hollow_basket", 1, scale="ruler")
    with pytest.raises(ValueError, match="'seated' must be one of nothing"):
        simulate("hollow_basket", 1, seated="a hat")
    with pytest.raises(ValueError, match="'jaw' must be one of lower, upper"):
        simulate("hollow_basket", 1, jaw="left")
    with pytest.raises(ValueError, match="'rows' must be 100 to 4000"):
        simulate("hollow_basket", 1, rows=9)
    with pytest.raises(ValueError, match="'stress' shifts and widens facts"):
        describe("hollow_basket", 1, stress=True)


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
def test_every_family_is_described_for_any_seed_and_level(family):
    for seed in range(5):
        for level in ("clean", "clinical", "hard"):
            truth = describe(family, seed, level)
            json.dumps(truth, allow_nan=False)
            assert (truth["family"], truth["seed"], truth["level"]) == (family, seed, level)


def test_a_bore_wider_than_its_body_is_refused():
    with pytest.raises(ValueError, match="pressfit_cylinder_plain_bore: "):
        describe("pressfit_cylinder_plain_bore", 1, "clean", {"well_width_mm": (3.9, 4.0)})
