"""Record: one page to print or keep."""

from __future__ import annotations

import datetime as dt

import streamlit as st

from features.reading import Reading
from identify.film_trust import film_cautions
from identify.overlay import draw_overlay
from identify.record import Sheet, record_html
from identify.screens import look, session
from identify.screens.case import Case
from identify.screens.session import Judged, remembered

LEAD = "One page for the file and for whoever does the next step. Print it, or keep it as a file."
TYPED = ("Patient or case number", "Remarks")


def show() -> None:
    case, reading, judged = look.judged_page("Record", LEAD)
    _confirmation(case, judged)
    with st.expander("Add to the page (nothing about the patient is printed unless typed here)"):
        typed = {label: remembered(case.facts, label, st.text_input, label) for label in TYPED}
    html = record_html(_sheet(case, reading, judged, typed), session.notes().checklist)
    st.download_button(
        "Download the record",
        html,
        file_name=f"radiofixture-record-{case.chosen}.html",
        mime="text/html",
        type="primary",
        on_click="ignore",
    )
    st.iframe(html)


def _sheet(case: Case, reading: Reading, judged: Judged, typed: dict[str, str]) -> Sheet:
    marks = case.marks()
    assert marks is not None  # there is a reading
    kind, family = case.confirmed.get(case.chosen, ("", ""))
    confirmed = f"{family}, by {session.confirming()[kind]}" if kind else ""
    return Sheet(
        film_name=case.name,
        picture_svg=draw_overlay(case.film, judged.implant, case.hull(case.chosen)),
        reading=reading,
        label=case.chosen,
        evidence=judged.evidence,
        ranking=judged.ranking,
        looks=judged.looks,
        date=dt.datetime.now().astimezone().strftime("%d %B %Y, %H:%M"),
        typed=typed,
        confirmed=confirmed,
        film_cautions=film_cautions(case.film, marks, reading, judged.implant),
        family_cautions=_family_cautions(judged),
    )


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
