"""`radiofixture shelf …` from files to answers."""

import json

import pytest

from tests.identify.command import assert_refused, radiofixture_here
from tests.identify.shelves import DEMO, FAMILY

EVIDENCE = {
    "radiofixture": "evidence/1",
    "scale": {"kind": "ball", "rel_std": 0.01},
    "items": {"platform_width_mm": {"value": 4.2, "std_local": 0.05, "by": "film"}},
}


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("RADIOFIXTURE_DATA", str(tmp_path / "data"))
    return tmp_path


@pytest.fixture
def evidence(folder):
    path = folder / "evidence.json"
    path.write_text(json.dumps(EVIDENCE), encoding="utf-8")
    return path


def test_import_export_and_back(folder):
    assert "21 new" in radiofixture_here("shelf", "import", DEMO, "--check").stdout
    assert "21 new" in radiofixture_here("shelf", "import", DEMO).stdout  # the check stored nothing
    for name in ("out.csv", "out.toml"):
        assert radiofixture_here("shelf", "export", folder / name).returncode == 0
        done = radiofixture_here("shelf", "import", folder / name, "--replace", "--json", "-")
        said = json.loads(done.stdout)
        assert (said["same"], said["new"], said["removed"]) == (21, 0, 0)


def test_a_wrong_file_stores_nothing_and_lists_every_row(folder):
    path = folder / "bad.csv"
    path.write_text("row,system,family,size,platform_width_mm\nsize,A,x,1,4\nsize,A,y,2,4\n")
    done = radiofixture_here("shelf", "import", path)
    assert done.returncode == 2
    assert [line[:5] for line in done.stdout.splitlines()] == ["row 2", "row 3"]
    assert "nothing was taken over" in done.stderr
    assert "0 sizes" in radiofixture_here("shelf", "export", folder / "out.csv").stdout


def test_match_says_the_size_and_that_nothing_is_confirmed(evidence):
    radiofixture_here("shelf", "import", DEMO)
    done = radiofixture_here("shelf", "match", evidence, "--family", FAMILY)
    assert done.stdout.startswith("4.2 mm platform ")
    assert "NOT CONFIRMED: DO NOT ORDER PARTS" in done.stdout
    said = json.loads(
        radiofixture_here("shelf", "match", evidence, "--family", FAMILY, "--json", "-").stdout
    )
    chances = [one["probability"] for one in said["sizes"]]
    assert sum(chances) + said["other"] == pytest.approx(1, abs=1e-5)


def test_match_without_a_family_takes_the_likeliest(evidence):
    done = radiofixture_here("shelf", "match", evidence, "--json", "-")
    assert json.loads(done.stdout)["sentence"].startswith("Nothing is on the shelf yet")


def test_parts_are_narrowed_by_platform():
    radiofixture_here("shelf", "import", DEMO)
    more = ("--family", FAMILY, "--platform", 4.2, "--json", "-")
    rows = json.loads(radiofixture_here("shelf", "parts", *more).stdout)["parts"]
    assert [row["height_mm"] for row in rows if row["kind"] == "stock abutment"] == [1, 2, 3]
    assert all(row["platform_width_mm"] in (None, 4.2) for row in rows)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("import", "none.csv"), "no such shelf file"),
        (("parts", "--family", "x"), "'--family' is 'x'"),
        (("export", "no/such/folder/x.csv"), "cannot be written"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(arguments, says):
    assert_refused(radiofixture_here("shelf", *arguments), says)
