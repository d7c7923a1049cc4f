"""Record: the pages to print or keep, for the file, the lab, the placing clinic and the patient."""

from __future__ import annotations

import datetime as dt
from typing import Any

import streamlit as st

from features.input_file import BadInput
from features.reading import Reading
from identify.case_facts import family_place, way_chosen
from identify.confirmation import attempt_on, trial_place, trial_remark
from identify.for_patient import patient_paragraph
from identify.lab_sheet import ASKED, LabOrder, lab_sheet_pdf
from identify.letter import Letter, letter_pdf
from identify.notes_version import notes_version
from identify.plan_lines import plan_lines
from identify.printed import Paper
from identify.record import TYPED, Sheet, record_html
from identify.record_pdf import record_pdf
from identify.record_tables import record_csv, record_json
from identify.restore import plan
from identify.screens import look, session
from identify.screens.case import Case
from identify.screens.plan_facts import case_of
from identify.screens.session import Judged, remembered
from identify.sheets import Work, sheet_of

LEAD = "Pages for the file and for whoever does the next step."
PAPERS: dict[str, Paper] = {"A4": "a4", "Letter": "us-letter"}


def show() -> None:
    case, reading, judged = look.judged_page("Record", LEAD)
    _confirmation(case, judged)
    with st.expander("Add to the pages (nothing about the patient is printed unless typed here)"):
        typed = {label: remembered(case, label, st.text_input, label) for label in TYPED}
    sheets = _sheets(case, reading, judged, typed)
    mine = next(sheet for sheet in sheets if sheet.label == case.chosen)
    paper = PAPERS[remembered(case, "paper", st.segmented_control, "Paper", list(PAPERS),
                              default="A4") or "A4"]  # fmt: skip
    lines = _plan(case, reading, judged)
    _downloads(sheets, mine, paper, lines)
    _lab(case, mine, paper, lines)
    _letter(case, mine, paper)
    with st.expander("In words for the patient"):
        st.write(patient_paragraph(mine))
    st.iframe(record_html(mine, session.notes().checklist))


def _plan(case: Case, reading: Reading, judged: Judged) -> dict[str, Any] | None:
    """Lines of the plan for the record's family; none where its facts contradict each other."""
    if case.refuted:
        look.quiet("Marked as refuted: the pages carry no plan.")
        return None
    family = session.notes().families[session.recorded_family(case, judged)]
    try:
        planned = plan(case_of(case, reading, judged, family), session.notes())
    except BadInput as error:
        st.warning(f"The record carries no plan. {error}")
        return None
    return plan_lines(planned, way_chosen(case.facts, case.chosen, family.key))


def _downloads(
    sheets: list[Sheet], mine: Sheet, paper: Paper, lines: dict[str, Any] | None
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


def _lab(case: Case, sheet: Sheet, paper: Paper, lines: dict[str, Any] | None) -> None:
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


def _typed(case: Case, name: str, label: str, hint: str = "") -> str:
    given = remembered(case, name, st.text_input, label, help=hint or None)
    return (given or "").strip()


def _letter(case: Case, sheet: Sheet, paper: Paper) -> None:
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


def _sheets(case: Case, reading: Reading, judged: Judged, typed: dict[str, str]) -> list[Sheet]:
    marks = case.marks()
    assert marks is not None  # there is a reading
    now = dt.datetime.now().astimezone()
    date = now.strftime("%d %B %Y, %H:%M")
    said = (case.confirmed, case.facts, case.refuted)
    work = Work(case.film, marks, reading, case.public_name, date, typed, *said)
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
            case,
            f"confirmed by {case.chosen}",
            st.selectbox,
            "By",
            list(kinds),
            None,
            format_func=kinds.__getitem__,
            placeholder="not yet: a film alone confirms nothing",
        )
        name = f"confirmed as {case.chosen}"
        family = remembered(case, name, st.selectbox, "As", titles, None, placeholder="–")
    before = case.confirmed.pop(case.chosen, None)
    now = (kind, family) if kind and family else None
    if now:
        case.confirmed[case.chosen] = now
        if kind == "trial" and attempt_on(case.chosen, case.facts) == "not tried":
            case.facts[trial_place(case.chosen)] = "seated and filmed"
    if now and case.chosen not in case.standing:
        st.warning(
            f"{trial_remark(case.chosen, case.facts) or 'The case is marked as refuted.'} So "
            "nothing is confirmed; see the trial part on Families, or the mark on Cases."
        )
    if now != before:
        case.facts.pop(family_place(case.chosen), None)  # a guess from before
        st.rerun()  # the caution above was drawn before this was known


show()
