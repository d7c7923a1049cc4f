"""The command line as a person or a script meets it: a process, its output and its exit code."""

import json
import os
import re
import subprocess
import sys
from types import MappingProxyType

import pytest

from features.quantity import NotMeasured
from identify import cli
from tests.identify.command import FILM, MARKS, ROOT, radiofixture, radiofixture_here

EVIDENCE = {
    "radiofixture": "evidence/1",
    "scale": {"kind": "ball", "rel_std": 0.005},
    "items": {
        "thread_pitch_mm": {"value": 0.6, "std_local": 0.01, "by": "film"},
        "index": {"state": "present", "by": "mouth", "on": "implant"},
        "vents": {"state": "not assessable", "by": "film", "note": "covered by a crown"},
    },
}


@pytest.fixture
def evidence_file(tmp_path):
    path = tmp_path / "evidence.json"
    path.write_text(json.dumps(EVIDENCE), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def reading():
    done = radiofixture("read", FILM, "--marks", MARKS, "--json", "-")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_help_answers_within_half_a_second():
    spent = []
    for _ in range(3):
        before = os.times()
        done = radiofixture("--help")
        after = os.times()  # computing, not waiting for a busy machine
        children = after.children_user + after.children_system
        spent.append(children - before.children_user - before.children_system)
    assert done.returncode == 0
    assert min(spent) <= 0.5


def test_help_loads_nothing_heavy():
    loaded = "import sys, identify.cli; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", loaded], cwd=ROOT, capture_output=True, text=True, check=True
    )
    heavy = {"numpy", "scipy", "cv2", "streamlit", "pydantic", "skimage", "pydicom", "rich"}
    assert not heavy & set(done.stdout.split())


def test_no_command_prints_the_help():
    done = radiofixture()
    assert done.returncode == 0
    assert "Usage: radiofixture" in done.stdout


def test_reading_json_has_the_contracts_entries(reading):
    assert reading["radiofixture"] == "reading/1"
    assert set(reading) >= {"film", "scale", "implants"}
    implant = reading["implants"][0]
    entries = "label measures forms findings vents groups ranking none_of_these not_an_implant"
    assert set(implant) >= {*entries.split(), "verdict", "next_look"}
    assert set(implant["axis_deg"]) in ({"value", "std"}, {"not_measured"})
    assert set(implant["ranking"][0]) >= {"family", "probability", "points"}
    assert set(implant["verdict"]) == {"word", "sentence"}
    assert all({"item", "gain_bits"} <= set(look) for look in implant["next_look"])


def test_reading_json_ranks_largest_first_and_sums_to_one(reading):
    for implant in reading["implants"]:
        chances = [row["probability"] for row in implant["ranking"]]
        assert chances == sorted(chances, reverse=True)
        total = sum(chances) + implant["none_of_these"] + implant["not_an_implant"]
        assert total == pytest.approx(1.0, abs=1e-6)
        assert sum(implant["groups"].values()) == pytest.approx(sum(chances), abs=1e-6)


def test_reading_json_says_that_nothing_is_confirmed(reading):
    for implant in reading["implants"]:
        assert implant["confirmed"] == "film_only"
        assert implant["caution"] == "NOT CONFIRMED: DO NOT ORDER PARTS"


def test_the_table_for_people_fits_eighty_columns_and_warns(tmp_path):
    out = tmp_path / "reading.json"
    done = radiofixture_here("read", FILM, "--marks", MARKS, "--json", out)
    assert done.returncode == 0, done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "NOT CONFIRMED: DO NOT ORDER PARTS" in done.stdout
    assert "None of these" in done.stdout
    assert "\x1b[" not in done.stdout
    assert json.loads(out.read_text(encoding="utf-8"))["radiofixture"] == "reading/1"


def test_a_persons_answer_is_weighed_with_the_film(reading, tmp_path):
    answers = tmp_path / "answers.json"
    seen = {"items": {"index": {"state": "absent", "by": "mouth"}}}
    answers.write_text(json.dumps(seen), encoding="utf-8")
    done = radiofixture_here("read", FILM, "--marks", MARKS, "--answers", answers, "--json", "-")
    assert done.returncode == 0, done.stderr
    implant = json.loads(done.stdout)["implants"][0]
    assert implant["groups"]["no_index"] > reading["implants"][0]["groups"]["no_index"]
    assert implant["not_ranked_apart"] == []


def test_weighing_json_gives_every_family_its_rows(evidence_file):
    done = radiofixture_here("weigh", evidence_file, "--json", "-")
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    data = json.loads(done.stdout)
    for support in data["ranking"]:
        assert {"item", "points", "sentence"} <= set(support["rows"][0])
        assert sum(row["points"] for row in support["rows"]) == pytest.approx(
            support["points"],
            abs=0.02,  # each row is rounded to 0.01
        )
    assert data["not_weighed"][0]["reason"] == "covered by a crown"


def test_weighing_for_people_gives_reasons(evidence_file):
    done = radiofixture_here("weigh", evidence_file)
    assert done.returncode == 0, done.stderr
    assert "Thread pitch 0.600 ± 0.020 mm lies" in done.stdout
    assert "NOT CONFIRMED: DO NOT ORDER PARTS" in done.stdout


CASE = {
    "radiofixture": "case/1",
    "family": "tissue_level_cone",
    "indication": "splinted",
    "implants": [{"label": "A", "tooth": "36"}],
}


def test_a_plan_for_an_unconfirmed_case_warns(tmp_path):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(CASE), encoding="utf-8")
    as_json = radiofixture_here("restore", path, "--json", "-")
    assert as_json.returncode == 0, as_json.stderr
    assert json.loads(as_json.stdout)["radiofixture"] == "plan/1"
    for_people = radiofixture_here("restore", path)
    assert for_people.returncode == 0, for_people.stderr
    assert "NOT CONFIRMED: DO NOT ORDER PARTS" in for_people.stdout
    assert max(map(len, for_people.stdout.splitlines())) <= 80


def test_one_seed_draws_one_film(tmp_path):
    for folder in ("one", "two"):
        done = radiofixture_here(
            "simulate",
            *("--family", "tissue_level_cone", "--seed", 3, "--level", "clean"),
            *("--out", tmp_path / folder),
        )
        assert done.returncode == 0, done.stderr
        assert done.stdout.strip() == "tissue_level_cone-clean-3"
    names = sorted(path.name for path in (tmp_path / "one").iterdir())
    assert names == [
        f"tissue_level_cone-clean-3.{end}" for end in ("marks.json", "png", "truth.json")
    ]
    for name in names:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_the_notes_that_come_with_it_are_in_order():
    done = radiofixture_here("notes", "check")
    assert done.returncode == 0, done.stdout
    assert "families in order" in done.stdout


def test_broken_notes_are_listed_and_fail(tmp_path):
    done = radiofixture_here("notes", "check", "--folder", tmp_path)
    assert done.returncode == 2
    assert "checklist.toml" in done.stdout
    assert len(done.stderr.splitlines()) == 1


def test_an_internal_fault_is_one_line_and_exit_one(monkeypatch, capsys):
    def fail(**_):
        raise RuntimeError("the wheel\ncame off")

    monkeypatch.setattr(cli, "app", fail)
    monkeypatch.delenv("RADIOFIXTURE_DEBUG", raising=False)
    assert cli.run(["read"]) == 1
    shown = capsys.readouterr()
    assert len(shown.err.splitlines()) == 1
    assert "the wheel came off" in shown.err
    monkeypatch.setenv("RADIOFIXTURE_DEBUG", "1")
    with pytest.raises(RuntimeError):
        cli.run(["read"])


def test_a_film_on_which_nothing_could_be_measured_exits_three(capsys):
    class Bare:
        label = "A"
        measures = MappingProxyType({"length_mm": NotMeasured("the apex is outside the film")})

    class OneFilm:
        implants = (Bare(),)

    assert cli._report_unmeasured(OneFilm()) == 3
    assert "implant A" in capsys.readouterr().err


def test_two_implants_on_one_film_get_the_angle_between_them(tmp_path):
    marks = json.loads(MARKS.read_text(encoding="utf-8"))
    (first,) = marks["implants"]
    marks["implants"] = [first, first | {"label": "B"}]  # the same body marked twice: 0 degrees
    path = tmp_path / "two.json"
    path.write_text(json.dumps(marks), encoding="utf-8")
    done = radiofixture_here("read", FILM, "--marks", path)
    assert done.returncode == 0, done.stderr
    assert re.search(r"Angle between the axes of A and B on the film: 0\.0", done.stdout)
