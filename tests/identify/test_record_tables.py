"""CSV and JSON of the record carry every number as it was measured."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from identify.knowledge import load_notes
from identify.ranking import NOT_CONFIRMED
from identify.record_tables import HEADER, record_csv, record_json
from tests.identify.judged_sheets import judged_sheet, unfilmed_sheet


@pytest.fixture(scope="module")
def notes():
    return load_notes()


@pytest.fixture(scope="module")
def sheet(notes):
    return judged_sheet(notes)


def test_csv_holds_every_number_whole(sheet, notes):
    rows = list(csv.DictReader(io.StringIO(record_csv([sheet], notes.checklist).lstrip("\ufeff"))))
    assert tuple(rows[0]) == HEADER
    length = next(row for row in rows if row["key"] == "length_mm")
    measured = sheet.implant.measures["length_mm"]
    assert (float(length["value"]), float(length["std"])) == (measured.value, measured.std)
    assert length["unit"] == "mm"
    refused = next(row for row in rows if row["key"] == "bore_mouth_mm")
    assert (refused["value"], refused["said"]) == ("", "the mouth is covered by the abutment")
    families = {row["key"]: float(row["value"]) for row in rows if row["kind"] == "family"}
    assert families == pytest.approx({s.key: s.probability for s in sheet.ranking.supports})


def test_json_holds_page_reading_and_rankings(sheet, notes):
    data = json.loads(record_json([sheet], notes.checklist))
    assert data["radiofixture"] == "record/1"
    assert data["reading"]["film"]["sha256"] == sheet.reading.sha256
    assert data["rankings"]["A"]["ranking"][0]["rows"]


def test_answers_stand_in_the_table_with_who_gave_them(notes):
    text = record_csv([unfilmed_sheet(notes)], notes.checklist)
    rows = list(csv.DictReader(io.StringIO(text.lstrip("\ufeff"))))
    answers = {row["key"]: row for row in rows if row["kind"] == "answer"}
    assert answers["index_shape"]["said"] == "three lobes (at the bench)"
    pitch = answers["screw_pitch_mm"]
    assert (pitch["value"], pitch["unit"]) == ("0.4", "mm")
    assert pitch["said"] == "(at the bench, of a part on it)"
    assert {row["tooth_fdi"] for row in rows} == {"36"}
    assert not [row for row in rows if row["kind"] in {"measure", "form", "finding"}]


def test_without_a_film_the_data_pretends_no_reading(notes):
    data = json.loads(record_json([unfilmed_sheet(notes)], notes.checklist))
    assert data["reading"] is None
    assert data["no_film"]
    assert (data["scale"], data["film_hash"]) == ("", "")
    (one,) = data["implants"]
    assert (one["measures"], one["picture"]) == ([], "")
    assert data["rankings"]["A"]["ranking"][0]["rows"]


def test_both_tables_say_how_far_it_is_confirmed_and_nothing_else_of_it(sheet, notes):
    for confirmed, said in (("", NOT_CONFIRMED), ("X, by trial", "Confirmed: X, by trial")):
        one = replace(sheet, confirmed=confirmed, warnings=("It bound.",))
        rows = list(
            csv.DictReader(io.StringIO(record_csv([one], notes.checklist).lstrip("\ufeff")))
        )
        assert [row["said"] for row in rows if row["kind"] == "standing"] == [said, "It bound."]
        data = json.loads(record_json([one], notes.checklist))
        assert data["stamp"] == ("" if confirmed else NOT_CONFIRMED)
        assert "confirmed" not in data["rankings"][one.label]
        assert "caution" not in data["rankings"][one.label]
