"""Record: the pages to print or keep, for the file, the lab, the placing clinic and the patient."""

from __future__ import annotations

import datetime as dt

import streamlit as st

from features.reading import Reading
from identify.film_trust import film_cautions
from identify.for_patient import patient_paragraph
from identify.lab_sheet import ASKED, LabOrder, lab_sheet_pdf
from identify.letter import Letter, letter_pdf
from identify.notes_version import notes_version
from identify.overlay import bar_mm, draw_overlay
from identify.printed import Paper
from identify.record import Sheet, record_html
from identify.record_pdf import record_pdf
from identify.record_tables import record_csv, record_json
from identify.screens import look, session
from identify.screens.case import Case
from identify.screens.session import Judged, remembered

LEAD = "Pages for the file and for whoever does the next step."
TYPED = ("Patient or case number", "Remarks")
PAPERS: dict[str, Paper] = {"A4": "a4", "Letter": "us-letter"}


def show() -> None:
    case, reading, judged = look.judged_page("Record", LEAD)
    _confirmation(case, judged)
    with st.expander("Add to the pages (nothing about the patient is printed unless typed here)"):
        typed = {label: remembered(case.facts, label, st.text_input, label) for label in TYPED}
    sheets = _sheets(case, reading, judged, typed)
    mine = next(sheet for sheet in sheets if sheet.label == case.chosen)
    paper = PAPERS[remembered(case.facts, "paper", st.segmented_control, "Paper", list(PAPERS),
                              default="A4") or "A4"]  # fmt: skip
    _downloads(case, sheets, paper)
    _lab(case, mine, paper)
    _letter(case, mine, paper)
    with st.expander("In words for the patient"):
        st.write(patient_paragraph(mine))
    st.iframe(record_html(mine, session.notes().checklist))


def _downloads(case: Case, sheets: list[Sheet], paper: Paper) -> None:
    checklist, stem = session.notes().checklist, f"radiofixture-record-{case.chosen}"
    with st.container(horizontal=True):
        _download(
            "Download the record",
            lambda: record_pdf(sheets, checklist, notes_version=notes_version(), paper=paper),
            f"{stem}.pdf",
            "application/pdf",
            primary=True,
        )
        mine = next(sheet for sheet in sheets if sheet.label == case.chosen)
        _download(
            "As a web page", lambda: record_html(mine, checklist), f"{stem}.html", "text/html"
        )
        _download("As a table", lambda: record_csv(sheets, checklist), f"{stem}.csv", "text/csv")
        _download("As JSON", lambda: record_json(sheets, checklist), f"{stem}.json", "text/json")


def _download(label: str, make, file_name: str, mime: str, *, primary: bool = False) -> None:
    st.download_button(
        label,
        make,
        file_name=file_name,
        mime=mime,
        type="primary" if primary else "secondary",
        on_click="ignore",
    )


def _lab(case: Case, sheet: Sheet, paper: Paper) -> None:
    with st.expander("Lab sheet"):
        work = remembered(case.facts, "lab work", st.text_input, "Work wanted") or ""
        due = remembered(case.facts, "lab due", st.text_input, "Needed by") or ""
        stated = {
            label: remembered(case.facts, f"lab {label}", st.text_input, label, help=hint or None)
            or ""
            for label, hint in ASKED
        }
        order = LabOrder(work.strip(), {k: v.strip() for k, v in stated.items()}, due=due.strip())
        _download(
            "Download the lab sheet",
            lambda: lab_sheet_pdf(sheet, order, paper=paper),
            f"lab-sheet-{case.chosen}.pdf",
            "application/pdf",
        )


def _letter(case: Case, sheet: Sheet, paper: Paper) -> None:
    with st.expander("Letter to the clinic that placed it"):
        look.quiet("The cheapest look there is: its records may answer everything.")
        words = {
            "to": "To",
            "sender": "From",
            "patient": "Patient as that clinic knows them",
            "placed": "Placed when and where, as far as known",
        }
        typed = {
            key: (remembered(case.facts, f"letter {key}", st.text_input, label) or "").strip()
            for key, label in words.items()
        }
        teeth = (sheet.implant.tooth,) if sheet.implant.tooth else ()
        letter = Letter(**typed, teeth=teeth, date=_today("%d %B %Y"))
        _download(
            "Download the letter",
            lambda: letter_pdf(letter, paper),
            "request-for-records.pdf",
            "application/pdf",
        )


def _sheets(case: Case, reading: Reading, judged: Judged, typed: dict[str, str]) -> list[Sheet]:
    others = {i.label for i in reading.implants} - {case.chosen}
    all_judged = [judged, *(session.judge(case, reading, label) for label in sorted(others))]
    sheets = [_sheet(case, reading, one, typed) for one in all_judged]
    return sorted(sheets, key=lambda sheet: sheet.label)


def _sheet(case: Case, reading: Reading, judged: Judged, typed: dict[str, str]) -> Sheet:
    marks, label = case.marks(), judged.implant.label
    assert marks is not None  # there is a reading
    kind, family = case.confirmed.get(label, ("", ""))
    scale, hull = reading.scale.mm_per_px, case.hull(label)
    mm_per_px = scale.value if scale else None
    bar = bar_mm(case.film, judged.implant, hull, mm_per_px) if mm_per_px else None
    return Sheet(
        film_name=case.name.strip(),
        picture_svg=draw_overlay(case.film, judged.implant, hull, mm_per_px),
        reading=reading,
        label=label,
        evidence=judged.evidence,
        ranking=judged.ranking,
        looks=judged.looks,
        date=_today("%d %B %Y, %H:%M"),
        typed=typed,
        confirmed=f"{family}, by {session.confirming()[kind]}" if kind else "",
        film_cautions=film_cautions(case.film, marks, reading, judged.implant),
        family_cautions=_family_cautions(judged),
        scale_bar=f"{bar:g} mm" if bar else "",
    )


def _today(form: str) -> str:
    return dt.datetime.now().astimezone().strftime(form)


def _family_cautions(judged: Judged) -> tuple[str, ...]:
    best = judged.ranking.supports[0].key
    family = session.notes().families.get(best)
    return family.restoring.cautions if family and family.restoring else ()


def _confirmation(case: Case, judged: Judged) -> None:
    titles = [support.title for support in judged.ranking.families]
    kinds = session.confirming()
    with st.expander("Has it been confirmed?"):
        kind = remembered(
            case.facts,
            f"confirmed by {case.chosen}",
            st.selectbox,
            "By",
            list(kinds),
            None,
            format_func=kinds.__getitem__,
            placeholder="not yet: a film alone confirms nothing",
        )
        name = f"confirmed as {case.chosen}"
        family = remembered(case.facts, name, st.selectbox, "As", titles, None, placeholder="–")
    before = case.confirmed.pop(case.chosen, None)
    now = (kind, family) if kind and family else None
    if now:
        case.confirmed[case.chosen] = now
    if now != before:
        st.rerun()  # the caution above was drawn before this was known


show()
