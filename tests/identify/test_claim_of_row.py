"""A row of the shelf is claimed: tested in everything it says, and in nothing it does not."""

import json

import pytest

from features.input_file import BadInput
from identify.evidence import Evidence, Item
from identify.second_reading import Claim, claim_of_row, second_reading
from identify.shelf import find_size
from identify.shelf_file import load_shelf_file
from identify.shelf_store import import_shelf
from identify.shelf_words import size_words
from identify.size_facts import size_facts
from tests.identify.command import FILM, MARKS, assert_refused, radiofixture_here
from tests.identify.shelves import DEMO, FAMILY, NOTES, shelf, size

ROW = size(body_width_mm=3.8, lengths_mm=(8.0, 10.0, 12.0), screw_thread="M2", index="present")


def odds(**items):
    given = {key: Item.model_validate({"by": "bench"} | item) for key, item in items.items()}
    return second_reading(claim_of_row(ROW), Evidence(items=given), NOTES).odds


@pytest.mark.parametrize(
    ("key", "right", "wrong"),
    [
        ("platform_width_mm", 4.0, 4.4),
        ("coronal_width_mm", 3.8, 4.4),
        ("bore_width_mm", 2.0, 1.6),
        ("screw_pitch_mm", 0.4, 0.35),
        ("length_mm", 10.0, 17.0),
    ],
)
def test_each_dimension_of_the_row_is_tested(key, right, wrong):
    given = {"std_local": 0.01 if key == "screw_pitch_mm" else 0.05}
    assert odds(**{key: given | {"value": right}}) > 2 * odds(**{key: given | {"value": wrong}})


def test_the_index_of_the_row_is_tested():
    assert odds(index={"state": "present"}) > 5 * odds(index={"state": "absent"})


def test_one_length_is_tested_where_it_is_said():
    any_length = second_reading(claim_of_row(ROW), _long(8.0), NOTES)
    ten = second_reading(claim_of_row(ROW, 10.0), _long(8.0), NOTES)
    own = second_reading(claim_of_row(ROW, 8.0), _long(8.0), NOTES)
    assert own.odds > any_length.odds > 10 * ten.odds


def _long(mm):
    return Evidence(items={"length_mm": Item(value=mm, std_local=0.1, by="bench")})


def test_what_the_row_does_not_say_is_what_its_family_expects():
    bare = size()
    facts, family = size_facts(bare, FAMILY, NOTES), NOTES.families[FAMILY].facts
    assert {key for key, fact in facts.items() if fact != family[key]} == {"platform_width_mm"}


def test_the_answer_names_the_row_and_its_family():
    reading = second_reading(claim_of_row(ROW), Evidence(), NOTES)
    assert reading.title == "Alder 4.0 (external hexagon, parallel screw)"
    assert reading.to_json()["claim"]["row"]["size"] == "4.0"
    assert "row" not in second_reading(Claim(family=FAMILY), Evidence(), NOTES).to_json()["claim"]


def test_a_row_is_found_by_its_name_and_another_refused_with_those_there_are():
    own = shelf(ROW)
    assert find_size(own, "  alder  4.0 ") is ROW
    with pytest.raises(BadInput, match=r"'Alder 5.0'.*'Alder 4.0'"):
        find_size(own, "Alder 5.0")
    with pytest.raises(BadInput, match="it is empty"):
        find_size(shelf(), "Alder 5.0")


def test_a_row_in_words():
    assert size_words(ROW) == (
        "platform 4 mm, body 3.8 mm, 8 to 12 mm long, screw M2, with an index"
    )
    assert size_words(size(lengths_mm=(10.0,))) == "platform 4 mm, 10 mm long"


@pytest.fixture
def stocked(tmp_path, monkeypatch):
    monkeypatch.setenv("RADIOFIXTURE_DATA", str(tmp_path))
    import_shelf(load_shelf_file(DEMO, NOTES))


@pytest.mark.usefixtures("stocked")
def test_the_command_line_takes_a_row_for_a_claim():
    words = ("second-reading", FILM, "--marks", MARKS, "--json", "-")
    done = radiofixture_here(*words, "--row", "Cedar (invented) 3.6", "--size", "length_mm=11")
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["claim"]["family"] == "bone_level_cone"
    assert said["claim"]["row"]["lengths_mm"] == [11.0]
    assert said["claim"]["sizes"] == {}
    assert said["sentence"].startswith("Cedar (invented) 3.6 (")


@pytest.mark.usefixtures("stocked")
@pytest.mark.parametrize(
    ("more", "says"),
    [
        ((), "--row"),
        (("--claim", "bone_level_cone", "--row", "Cedar (invented) 3.6"), "--claim"),
        (("--row", "Cedar (invented) 9"), "Cedar (invented) 3.6"),
    ],
)
def test_neither_or_both_or_an_unknown_row_is_refused(more, says):
    done = radiofixture_here("second-reading", FILM, "--marks", MARKS, *more)
    assert_refused(done, says)
