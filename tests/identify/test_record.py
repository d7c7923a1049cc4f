"""The record says everything, invents nothing, and fetches nothing."""

import re
from dataclasses import replace
from html import unescape

import pytest

from features.quantity import Measured, NotMeasured
from features.reading import Reading
from features.scale import Scale
from identify.evidence import Item
from identify.gathering import gather
from identify.knowledge import load_notes
from identify.lending import PLACED_WITH
from identify.ranking import NOT_CONFIRMED
from identify.record import NOT_A_DEVICE, program_version, record_html
from identify.sheet import NO_FILM_SAID, UNFILMED
from identify.weigh import weigh
from identify.words import percent, points_text
from tests.identify.judged_sheets import HASH, implant, judged_sheet, unfilmed_sheet


@pytest.fixture(scope="module")
def notes():
    return load_notes()


@pytest.fixture(scope="module")
def sheet(notes):
    return judged_sheet(notes)


@pytest.fixture(scope="module")
def html(sheet, notes):
    return record_html(sheet, notes.checklist)


def words_of(html):
    body = html.split("</head>")[1]
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", body)))


def test_an_unconfirmed_record_warns_on_the_page_and_at_the_foot_of_every_sheet(html):
    assert f'content: "{NOT_CONFIRMED}"' in html
    assert NOT_CONFIRMED in words_of(html)


def test_a_confirmed_record_says_by_what_and_no_longer_warns(sheet, notes):
    html = record_html(replace(sheet, confirmed="X, by a record or label"), notes.checklist)
    assert NOT_CONFIRMED not in html
    assert "X, by a record or label" in words_of(html)


def test_nothing_is_fetched_from_anywhere(html):
    addresses = re.findall(r"https?://[^\"' <]+", html)
    assert set(addresses) <= {"http://www.w3.org/2000/svg"}
    assert "<script" not in html
    assert not re.search(r"\b(src|href)=\"(?!data:)", html)
    assert "data:image/jpeg;base64," in html


def test_every_measure_stands_with_its_interval(html):
    text = words_of(html)
    assert "10.04 ± 0.25 mm" in text  # 1.96 · hypot(0.08, 0.1) = 0.251
    assert "4.02 ± 0.09 mm" in text  # 1.96 · hypot(0.02, 0.04) = 0.088
    assert "0.620 ± 0.015 mm" in text  # 1.96 · hypot(0.005, 0.006) = 0.0153


def test_what_was_not_assessable_stands_with_its_reason(html):
    text = words_of(html)
    assert "the mouth is covered by the abutment" in text
    assert "the apex lies outside the film" in text


def test_each_hole_stands_with_its_shape_size_and_place(html):
    said = "oblong, 1.20 ± 0.20 mm across, 2.40 ± 0.20 mm along, 3.10 ± 0.20 mm from the apex"
    assert said in words_of(html)


def test_points_and_shares_are_those_of_the_ranking(html, sheet):
    text = words_of(html)
    shown = [s for s in sheet.ranking.supports[:3] if s.probability >= 0.01]
    assert shown
    for support in shown:
        assert support.title in text
        assert f"{percent(support.probability)}, {support.verdict}" in text
    for row in sheet.ranking.families[0].rows:
        if row.by == "film" and not row.counted_with:
            assert points_text(row.points) in text


def test_answers_stand_with_who_gave_them(html):
    assert "present (seen or felt in the mouth)" in words_of(html)


def test_an_implant_placed_with_this_one_stands_with_who_said_so(sheet, notes):
    lends = {"tissue_level_cone": 0.9}
    said = Item(state="present", by="known", note="the patient", beside="B", lends=lends)
    evidence = gather(sheet.reading, "A", {PLACED_WITH: said}, notes.checklist)
    changed = replace(sheet, evidence=evidence, ranking=weigh(evidence, notes))
    text = words_of(record_html(changed, notes.checklist))
    assert "Placed together with implant B (the patient)" in text


def test_the_page_names_scale_film_version_next_look_and_a_place_to_sign(html, sheet):
    text = words_of(html)
    wanted = [sheet.reading.scale.sentence, HASH, program_version(), sheet.looks[0].question]
    wanted += ["tooth 36 (FDI)", "Name and signature", *sheet.film_cautions, *sheet.family_cautions]
    for piece in wanted:
        assert piece in text


def test_what_the_program_is_not_is_said_exactly_once(html):
    assert words_of(html).count(NOT_A_DEVICE) == 1


def test_no_patient_stands_on_it_unless_typed(sheet, notes, html):
    assert "Patient" not in words_of(html)
    blank = record_html(replace(sheet, typed={"Patient or case number": "  "}), notes.checklist)
    assert blank == html
    typed = record_html(replace(sheet, typed={"Patient or case number": "7"}), notes.checklist)
    assert "Patient or case number: 7" in words_of(typed).replace(" :", ":")


def test_typed_text_and_file_names_cannot_become_markup(sheet, notes):
    nasty = "<img src=x onerror=alert(1)>"
    changed = replace(sheet, film_name=nasty, typed={"Remarks": nasty})
    html = record_html(changed, notes.checklist)
    assert nasty not in html
    assert html.count("&lt;img src=x onerror=alert(1)&gt;") == 2


def test_without_a_film_the_page_says_so_and_shows_the_answers_alone(notes):
    html = record_html(unfilmed_sheet(notes), notes.checklist)
    text = words_of(html)
    for said in (UNFILMED, NO_FILM_SAID, NOT_CONFIRMED, "tooth 36 (FDI)", "No film",
                 "three lobes (at the bench)", "4.1 mm (at the bench)",
                 "0.4 mm (at the bench, of a part on it)",
                 "looked at, and it cannot be told",
                 "Do not plan a single crown on it."):  # fmt: skip
        assert said in text, said
    for gone in ("Scale:", "SHA-256", "on a radiograph", "numbers in the picture"):
        assert gone not in text, gone
    assert "<svg" not in html


def test_without_a_film_nothing_is_to_be_looked_at_on_one(notes):
    sheet = unfilmed_sheet(notes)
    asked = [notes.checklist.items.get(look.item) for look in sheet.looks]
    assert len(asked) > 1
    assert all(entry.asked_of != ("eye",) for entry in asked if entry)


def test_without_a_scale_no_millimetre_stands_beside_a_measure(sheet, notes):
    measures = {"length_to_width": Measured(2.5, 0.02), "length_px": Measured(500.0, 3.0, "px")}
    bare = replace(implant(), measures=measures, vents=())
    none = Scale(NotMeasured("no scale"), "none", "Nothing of known size: no scale.")
    reading = Reading(HASH, 100, 120, none, (bare,))
    evidence = gather(reading, "A", {}, notes.checklist)
    changed = replace(sheet, reading=reading, evidence=evidence, ranking=weigh(evidence, notes))
    text = words_of(record_html(changed, notes.checklist))
    assert "No scale. Nothing of known size: no scale." in text
    assert not re.search(r"± [\d.]+ mm", text)
