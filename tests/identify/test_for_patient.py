"""Plain words for the patient: no number, no jargon, no promise."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from identify.for_patient import patient_paragraph
from identify.knowledge import load_notes
from identify.ranking import NOT_AN_IMPLANT
from tests.identify.judged_sheets import judged_sheet, unfilmed_sheet


@pytest.fixture(scope="module")
def sheet():
    return judged_sheet(load_notes())


def test_it_says_that_nothing_is_proven_and_what_the_patient_can_do(sheet):
    said = patient_paragraph(sheet)
    assert "not proven yet: no part will be ordered" in said
    assert "implant card" in said
    assert not re.search(r"\d+ ?%|±|points", said)


def test_confirmed_it_no_longer_says_perhaps(sheet):
    said = patient_paragraph(replace(sheet, confirmed="X, by trial"))
    assert "has now been confirmed" in said
    assert "not proven" not in said


def test_without_a_film_no_picture_is_spoken_of():
    said = patient_paragraph(unfilmed_sheet(load_notes()))
    assert said.startswith("We looked at what is known of your implant in the position of tooth 36")
    assert "picture of the implant" not in said
    assert "shape" not in said


def test_what_may_be_no_implant_is_said_to_be_so(sheet):
    supports = tuple(
        replace(support, probability=0.8 if support.key == NOT_AN_IMPLANT else 0.01)
        for support in sheet.ranking.supports
    )
    doubtful = replace(sheet, ranking=replace(sheet.ranking, supports=supports))
    assert "may not be an implant at all" in patient_paragraph(doubtful)
