"""Record: the pages to print or keep, for the file, the lab, the placing clinic and the patient."""

from __future__ import annotations

import streamlit as st

from features.reading import Reading
from identify.record import record_html
from identify.screens import confirming, look, plan_view, record_pages, session
from identify.screens.case import Case
from identify.screens.session import Judged
from identify.sheet import Sheet
from identify.sheets import Filmed, Work, sheet_of

LEAD = "Pages for the file and for whoever does the next step."


def show() -> None:
    case, reading, judged = look.judged_page("Record", LEAD)
    confirming.ask(case, judged.ranking, not_yet="a film alone confirms nothing")
    sheets = _sheets(case, reading, judged, record_pages.ask_typed(case))
    mine = next(sheet for sheet in sheets if sheet.label == case.chosen)
    lines = plan_view.lines(case, reading, judged)
    record_pages.show(case, sheets, mine, lines)
    st.iframe(record_html(mine, session.notes().checklist))


def _sheets(case: Case, reading: Reading, judged: Judged, typed: dict[str, str]) -> list[Sheet]:
    marks = case.marks()
    assert marks is not None  # there is a reading
    said = (case.confirmed, case.facts, case.refuted)
    filmed = Filmed(case.film, marks, reading)
    work = Work(case.public_name, record_pages.printed_at(), typed, *said, filmed)
    others = {i.label for i in reading.implants} - {case.chosen}
    all_judged = [judged, *(session.judge(case, reading, label) for label in sorted(others))]
    sheets = [
        sheet_of(work, one.implant, one.evidence, one.ranking, one.looks, session.notes())
        for one in all_judged
    ]
    return sorted(sheets, key=lambda sheet: sheet.label)


show()
