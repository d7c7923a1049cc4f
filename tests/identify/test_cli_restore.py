"""`radiofixture restore`: readings of the same arch, and no more loaded than is needed."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from identify.cli_restore import restore_case
from tests.identify.command import ROOT, assert_refused, radiofixture_here

CASE = {
    "radiofixture": "case/1",
    "family": "external_hex_parallel",
    "implants": [
        {"label": "A", "tooth": "33", "tilt_buccolingual_deg": 0.0, "tilt_std_deg": 1.0},
        {"label": "B", "tooth": "34", "tilt_buccolingual_deg": 0.0, "tilt_std_deg": 1.0},
        {"label": "C", "tooth": "36", "tilt_buccolingual_deg": 0.0, "tilt_std_deg": 1.0},
    ],
    "tooth_frames_deg": {"33": 70.0, "34": 70.0, "36": 70.0},
}


def reading(**axes_deg):
    """A reading of a film of the patient's left, where a larger axis is a lean to distal."""
    axes = [
        {"tooth": name.removeprefix("at"), "axis_deg": {"value": axis, "std": 0.2}}
        for name, axis in axes_deg.items()
    ]
    return {"radiofixture": "reading/1", "implants": axes}


@pytest.fixture
def saved(tmp_path):
    def save(name, data):
        path = tmp_path / name
        path.write_text(json.dumps(data), encoding="utf-8")
        return path

    return save


def test_two_films_of_one_arch_give_the_angle_between_implants_no_film_shows_together(saved):
    front = saved("front.json", reading(at33=86.0, at34=90.0))
    back = saved("back.json", reading(at34=94.0, at36=102.0))  # stands turned by 4
    data = restore_case(saved("case.json", CASE), [front, back])
    pairs = {tuple(p["between"]): p["value"] for p in data["divergence_deg"]["pairs"]}
    # 33 leans 4 to mesial of 34, and 36 leans 8 to distal of it, all in one direction
    assert pairs["A", "C"] == pytest.approx(12.0, abs=0.3)
    assert pairs["A", "B"] == pytest.approx(4.0, abs=0.5)


def test_films_alone_never_give_a_divergence(saved):
    bare = [{"label": i["label"], "tooth": i["tooth"]} for i in CASE["implants"]]
    front = saved("front.json", reading(at33=86.0, at34=90.0, at36=95.0))
    data = restore_case(saved("case.json", CASE | {"implants": bare}), [front])
    assert "films alone" in data["divergence_deg"]["not_measured"]


def test_what_is_no_reading_is_refused(saved):
    case = saved("case.json", CASE)
    done = radiofixture_here("restore", case, "--reading", case, "--json", "-")
    assert_refused(done, "case.json", "no reading")


def test_people_get_the_rival_the_parts_and_the_other_ways(saved):
    case = CASE | {"rival": "bone_level_cone"}
    done = radiofixture_here("restore", saved("case.json", case))
    assert done.returncode == 0
    text = " ".join(done.stdout.split())
    assert "Parts: " in text
    assert "NOT CONFIRMED: DO NOT ORDER PARTS: ask whether obtainable" in text
    assert "Instead: " in text
    assert "0. Take the old work off safely" in text


def test_a_plan_of_two_loads_neither_tables_nor_an_optimiser(saved):
    """They take longer to load than the whole plan takes; the command must answer at once."""
    case = CASE | {"implants": CASE["implants"][:2], "tooth_frames_deg": {"33": 70.0}}
    case["implants"] = [i | {"tilt_mesiodistal_deg": 3.0} for i in case["implants"]]
    code = (
        "import sys; from identify import cli; "
        f"cli.run(['restore', {str(saved('case.json', case))!r}, '--json', '-']); "
        "print([m for m in ('scipy', 'rich.table', 'skimage', 'cv2') if m in sys.modules], "
        "file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert json.loads(done.stdout)["radiofixture"] == "plan/1"
    assert done.stderr.strip() == "[]"
