"""The printed record: whole, legible, tagged, and with nobody's name unless typed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from identify.knowledge import load_notes
from identify.printed import PAPERS
from identify.ranking import NOT_CONFIRMED
from identify.record import NOT_A_DEVICE
from identify.record_pdf import record_pdf
from identify.sheet import NO_FILM_SAID, UNFILMED
from identify.words import measured_text
from tests.identify.judged_sheets import HASH, judged_sheet, unfilmed_sheet
from tests.identify.printed_pages import (
    check_nothing_cut_or_overlapping,
    pictures_of,
    sizes_of,
    text_of,
)

POINTS = {"a4": (595.3, 841.9), "us-letter": (612.0, 792.0)}  # ISO 216; ANSI Y14.1 size A
PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 90" width="60" height="90">'
    '<rect width="60" height="90" fill="#333"/>'
    '<text x="20" y="40" font-size="9" fill="#fff">1</text></svg>'
)


@pytest.fixture(scope="module")
def notes():
    return load_notes()


@pytest.fixture(scope="module")
def sheet(notes):
    return replace(judged_sheet(notes), picture_svg=PICTURE)


@pytest.fixture(scope="module")
def pdf(sheet, notes):
    return record_pdf([sheet], notes.checklist)


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_cut_or_overlaps_on_either_paper(sheet, notes, paper):
    made = record_pdf([sheet], notes.checklist, paper=paper)
    check_nothing_cut_or_overlapping(made)
    assert sizes_of(made)[0] == pytest.approx(POINTS[paper], abs=0.5)


def test_the_page_says_what_the_reading_says(sheet, pdf):
    text = text_of(pdf)
    length = measured_text(sheet.implant.measures["length_mm"])
    for said in (NOT_CONFIRMED, length, "the mouth is covered by the abutment",
                 "tooth 36 (FDI), #19 (Universal)", HASH, "The joint is hidden."):  # fmt: skip
        assert said in text, said
    assert " ".join(NOT_A_DEVICE.split()) in text


@pytest.mark.parametrize("paper", PAPERS)
def test_without_a_film_the_page_is_whole_and_says_so(notes, paper):
    made = record_pdf([unfilmed_sheet(notes)], notes.checklist, paper=paper)
    check_nothing_cut_or_overlapping(made)
    text = text_of(made)
    for said in (UNFILMED, NO_FILM_SAID, NOT_CONFIRMED, "Implant A · tooth 36",
                 "4.1 mm (at the bench)", "Do not plan a single crown on it."):  # fmt: skip
        assert said in text, said
    for gone in ("Scale:", "SHA-256", "± 95 %"):
        assert gone not in text, gone


def test_a_confirmed_case_carries_no_stamp_and_says_by_what(sheet, notes):
    text = text_of(record_pdf([replace(sheet, confirmed="X, by trial")], notes.checklist))
    assert NOT_CONFIRMED not in text
    assert "Confirmed: X, by trial." in text


def test_one_unconfirmed_implant_of_two_keeps_the_stamp(sheet, notes):
    two = [replace(sheet, confirmed="X, by trial"), replace(sheet)]
    assert NOT_CONFIRMED in text_of(record_pdf(two, notes.checklist))


def test_two_implants_stand_on_one_record(notes, sheet):
    other = replace(judged_sheet(notes, label="B", tooth="37"), picture_svg=PICTURE)
    made = record_pdf([sheet, other], notes.checklist)
    check_nothing_cut_or_overlapping(made)
    text = text_of(made)
    assert "Implant A · tooth 36" in text
    assert "Implant B · tooth 37" in text


@pytest.mark.parametrize(
    "typed",
    ["ü, ç, 王", "x" * 40, "#let a = 1 *bold* $x^2$ @ref <b>&amp; \\ `raw` [c] _u_ //"],
)
def test_what_is_typed_is_printed_as_typed(sheet, notes, typed):
    made = record_pdf([replace(sheet, typed={"Remarks": typed})], notes.checklist)
    check_nothing_cut_or_overlapping(made)
    assert f"Remarks: {typed}" in text_of(made)


def test_a_chinese_name_is_drawn_and_not_a_box(sheet, notes):
    one, other = (
        np.asarray(pictures_of(record_pdf([replace(sheet, typed={"N": name})], notes.checklist))[0])
        for name in ("王", "李")
    )
    assert (one != other).any(), "two names look the same: both are drawn as the missing sign"


def test_nothing_about_a_patient_is_printed_unless_typed(pdf):
    assert "Patient" not in text_of(pdf)


def test_it_prints_in_grey(pdf):
    for picture in pictures_of(pdf):
        rgb = np.asarray(picture).astype(int)
        assert np.ptp(rgb, axis=2).max() <= 2


def test_the_pages_are_tagged_for_screen_readers(pdf):
    # ISO 32000-1, 14.7 and 14.8: a structure tree, marked content, and the document's language
    for key in (b"/StructTreeRoot", b"/Marked true", b"/Lang"):
        assert key in pdf


def test_the_same_data_gives_the_same_bytes(sheet, notes, pdf):
    assert record_pdf([sheet], notes.checklist) == pdf


def test_beside_a_confirmation_no_page_says_that_it_is_not_enough(sheet, notes):
    (family, *_) = [one for one in sheet.ranking.families if one is not sheet.ranking.families[0]]
    sure = replace(sheet, confirmed=f"{family.title}, by trial", family=family.key)
    text = text_of(record_pdf([sure], notes.checklist))
    assert "not enough to order" not in text
    assert "What to look at next" not in text
    assert f"Points are for “{family.title}”" in text.replace("\n", " ")


def test_what_speaks_against_all_of_it_stands_under_the_stamp(sheet, notes):
    text = text_of(record_pdf([replace(sheet, warnings=("It bound.",))], notes.checklist))
    assert "It bound." in text
