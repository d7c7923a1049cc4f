"""Record: the pages to print or keep, for the file, the lab, the placing clinic and the patient."""

from __future__ import annotations

import datetime as dt

import streamlit as st

from features.reading import Reading
from identify.for_patient import patient_paragraph
from identify.lab_sheet import ASKED, LabOrder, lab_sheet_pdf
from identify.letter import Letter, letter_pdf
from identify.notes_version import notes_version
from identify.printed import Paper
from identify.record import TYPED, Sheet, record_html
from identify.record_pdf import record_pdf
from identify.record_tables import record_csv, record_json
from identify.screens import look, session
from identify.screens.case import Case
from identify.screens.session import Judged, remembered
from identify.sheets import Work, sheet_of

LEAD = "Pages for the file and for whoever does the next step."
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
        letter = Letter(
            **typed, teeth=teeth, date=dt.datetime.now().astimezone().strftime("%d %B %Y")
        )
        _download(
            "Download the letter",
            lambda: letter_pdf(letter, paper),
            "request-for-records.pdf",
            "application/pdf",
        )


def _sheets(case: Case, reading: Reading, judged: Judged, typed: dict[str, str]) -> list[Sheet]:
    marks = case.marks()
    assert marks is not None  # there is a reading
    now = dt.datetime.now().astimezone()
    date, confirmed = now.strftime("%d %B %Y, %H:%M"), case.confirmed
    work = Work(case.film, marks, reading, case.name, date, typed, confirmed)
    others = {i.label for i in reading.implants} - {case.chosen}
    all_judged = [judged, *(session.judge(case, reading, label) for label in sorted(others))]
    sheets = [
        sheet_of(work, one.implant, one.evidence, one.ranking, one.looks, session.notes())
        for one in all_judged
    ]
    return sorted(sheets, key=lambda sheet: sheet.label)


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
