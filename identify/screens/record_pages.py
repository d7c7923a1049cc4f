"""The pages of a case to print or keep: the record, a lab sheet, a letter, a few plain words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import streamlit as st

from identify.for_patient import patient_paragraph
from identify.lab_sheet import ASKED, LabOrder, lab_sheet_pdf
from identify.letter import Letter, letter_pdf
from identify.notes_version import notes_version
from identify.printed import Paper
from identify.record import TYPED, record_html
from identify.record_pdf import record_pdf
from identify.record_tables import record_csv, record_json
from identify.screens import look, session
from identify.screens.as_kept import EitherCase
from identify.screens.session import remembered
from identify.sheet import Sheet

PAPERS: dict[str, Paper] = {"A4": "a4", "Letter": "us-letter"}


def ask_typed(case: EitherCase) -> dict[str, str]:
    """Ask what a person wants on the pages."""
    with st.expander("Add to the pages (nothing about the patient is printed unless typed here)"):
        return {label: remembered(case, label, st.text_input, label) for label in TYPED}


def printed_at() -> str:
    """Return the time that stands on a record made now."""
    return dt.datetime.now().astimezone().strftime("%d %B %Y, %H:%M")


def show(
    case: EitherCase, sheets: Sequence[Sheet], mine: Sheet, lines: dict[str, Any] | None
) -> None:
    """Offer every page; `mine` is the implant in hand, `lines` its plan."""
    paper = PAPERS[remembered(case, "paper", st.segmented_control, "Paper", list(PAPERS),
                              default="A4") or "A4"]  # fmt: skip
    _downloads(sheets, mine, paper, lines)
    _lab(case, mine, paper, lines)
    _letter(case, mine, paper)
    with st.expander("In words for the patient"):
        st.write(patient_paragraph(mine))


def _downloads(
    sheets: Sequence[Sheet], mine: Sheet, paper: Paper, lines: dict[str, Any] | None
) -> None:
    checklist, stem = session.notes().checklist, f"radiofixture-record-{mine.label}"
    with st.container(horizontal=True):
        _download(
            "Download the record",
            lambda: record_pdf(
                sheets, checklist, plan=lines, notes_version=notes_version(), paper=paper
            ),
            f"{stem}.pdf",
            "application/pdf",
            primary=True,
        )
        _download(
            "As a web page", lambda: record_html(mine, checklist), f"{stem}.html", "text/html"
        )
        _download("As a table", lambda: record_csv(sheets, checklist), f"{stem}.csv", "text/csv")
        _download(
            "As JSON", lambda: record_json(sheets, checklist, lines), f"{stem}.json", "text/json"
        )


def _download(label: str, make, file_name: str, mime: str, *, primary: bool = False) -> None:
    st.download_button(
        label,
        make,
        file_name=file_name,
        mime=mime,
        type="primary" if primary else "secondary",
        on_click="ignore",
    )


def _lab(case: EitherCase, sheet: Sheet, paper: Paper, lines: dict[str, Any] | None) -> None:
    with st.expander("Lab sheet"):
        columns = st.columns(2)
        asked = (("Work wanted", ""), ("Needed by", ""), *ASKED)
        stated = {}
        for number, (label, hint) in enumerate(asked):
            with columns[number % 2]:
                stated[label] = _typed(case, f"lab {label}", label, hint)
        order = LabOrder(stated.pop("Work wanted"), stated, due=stated.pop("Needed by"))
        if lines and not lines["chosen"]:
            look.quiet("Choose a way on Restore, and its parts are listed.")
        _download(
            "Download the lab sheet",
            lambda: lab_sheet_pdf(sheet, order, plan=lines, paper=paper),
            f"lab-sheet-{case.chosen}.pdf",
            "application/pdf",
        )


def _typed(case: EitherCase, name: str, label: str, hint: str = "") -> str:
    given = remembered(case, name, st.text_input, label, help=hint or None)
    return (given or "").strip()


def _letter(case: EitherCase, sheet: Sheet, paper: Paper) -> None:
    with st.expander("Letter to the clinic that placed it"):
        look.quiet("The cheapest look there is: its records may answer everything.")
        words = {
            "to": "To",
            "sender": "From",
            "patient": "Patient as that clinic knows them",
            "placed": "Placed when and where, as far as known",
        }
        typed = {key: _typed(case, f"letter {key}", label) for key, label in words.items()}
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
