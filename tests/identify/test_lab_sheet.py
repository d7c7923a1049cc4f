"""The lab's page: one page, nothing invented, what is proven apart from what is assumed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from identify.knowledge import load_notes
from identify.lab_sheet import ASKED, NOT_STATED, LabOrder, lab_sheet_data, lab_sheet_pdf
from identify.printed import PAPERS
from identify.ranking import NOT_CONFIRMED
from tests.identify.judged_sheets import judged_sheet, unfilmed_sheet
from tests.identify.printed_pages import check_nothing_cut_or_overlapping, sizes_of, text_of
from tests.identify.test_record_pdf import PICTURE

FULL = LabOrder(
    work="a screw-retained splint of two crowns on implants 36 and 37, metal ceramic",
    stated={label: f"{label} as stated, at some length, for the lab" for label, _ in ASKED},
    due="10 December",
)


PLAN = {
    "chosen": "Single crown: cemented, stock part",
    "parts": [[f"part number {n}", "ask whether obtainable"] for n in range(6)],
    "stop": "",
}


@pytest.fixture(scope="module")
def sheet():
    return replace(judged_sheet(load_notes()), picture_svg=PICTURE)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_full_sheet_fits_one_page(sheet, paper):
    made = lab_sheet_pdf(sheet, FULL, plan=PLAN, paper=paper)
    assert len(sizes_of(made)) == 1
    check_nothing_cut_or_overlapping(made)


def test_without_a_film_sizes_are_those_measured_by_hand(sheet):
    bare = unfilmed_sheet(load_notes())
    made = lab_sheet_pdf(bare, FULL, plan=PLAN)
    assert len(sizes_of(made)) == 1
    check_nothing_cut_or_overlapping(made)
    text = text_of(made)
    assert "platform: 4.1 mm (at the bench); upper body: not measured" in text
    assert "from answers alone, without a film" in text
    assert "SHA-256" not in text


def test_what_was_not_stated_is_said_to_be_missing(sheet):
    text = text_of(lab_sheet_pdf(sheet, LabOrder(work="", stated={})))
    assert text.count(NOT_STATED) == len(ASKED) + 2


def test_unconfirmed_nothing_is_proven_and_the_stamp_stands(sheet):
    text = text_of(lab_sheet_pdf(sheet, FULL))
    assert NOT_CONFIRMED in text
    assert "Nothing yet." in text


def test_confirmed_the_family_moves_to_proven(sheet):
    text = text_of(lab_sheet_pdf(replace(sheet, confirmed="X, by trial"), FULL))
    assert NOT_CONFIRMED not in text
    assert "The family: X, by trial." in text
    assert "Confirmed: X, by trial." in text


def test_beside_a_confirmation_the_films_guess_is_called_that_and_no_more(sheet):
    text = text_of(lab_sheet_pdf(replace(sheet, confirmed="X, by trial"), FULL))
    assert "On the evidence without it" in text
    assert "not enough to order" not in text


def test_parts_are_listed_only_of_the_way_chosen(sheet):
    text = text_of(lab_sheet_pdf(sheet, FULL, plan=PLAN))
    assert "Single crown: cemented, stock part" in text
    assert "part number 5" in text
    open_yet = lab_sheet_data(sheet, FULL, PLAN | {"chosen": ""})
    assert open_yet["parts"] == []


def test_a_stop_stands_on_the_sheet(sheet):
    text = text_of(
        lab_sheet_pdf(sheet, FULL, plan=PLAN | {"stop": "The implant moves.", "parts": []})
    )
    assert "Stop. The implant moves." in text


def test_no_torque_is_given(sheet):
    text = text_of(lab_sheet_pdf(sheet, FULL))
    assert "Ncm" not in text
    assert "none is given here" in text
