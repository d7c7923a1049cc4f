"""The plan as a screen: the stop question, the facts, then every way by what it is for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import streamlit as st

from features.input_file import BadInput
from features.reading import Reading
from identify.case_facts import way_chosen, way_place
from identify.note import Family
from identify.plan import Plan
from identify.plan_lines import plan_lines, ways_open
from identify.plan_words import INDICATIONS, VERDICTS, divergence_text, way_key, way_title
from identify.restore import plan
from identify.screens import look, plan_rows, session
from identify.screens.as_kept import EitherCase
from identify.screens.plan_facts import ask_facts, ask_stop_signs, case_of, in_hand
from identify.screens.session import Judged, remembered

_CSS = (Path(__file__).parent / "plan.css").read_text(encoding="utf-8")


def show(
    case: EitherCase,
    reading: Reading | None,
    judged: Judged,
    family: Family,
    rival: Family | None = None,
) -> None:
    """Stop question, facts, then the options; a stop before planning ends it here."""
    st.html(f"<style>{_CSS}</style>")
    ask_stop_signs(case)
    ask_facts(case, in_hand(reading, judged))
    try:
        facts = case_of(case, reading, judged, family, rival.key if rival else None)
        planned = plan(facts, session.notes())
    except BadInput as error:
        st.warning(str(error))
        return
    if planned.stop:
        st.error(planned.stop)
    else:
        _options(planned)
        _choose_way(case, planned)
    st.subheader("What can always be done instead", anchor=False)
    look.bullets(way.text for way in planned.other_ways)
    for note in planned.notes:
        look.quiet(note)


def lines(case: EitherCase, reading: Reading | None, judged: Judged) -> dict[str, Any] | None:
    """Return the plan for the record's family; None, and said, where there is none to be made."""
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


def _choose_way(case: EitherCase, planned: Plan) -> None:
    """Let one way be chosen: its parts alone go on the lab sheet."""
    ways = {way_key(option): option for option in ways_open(planned)}
    place = way_place(case.chosen, planned.family)
    if not ways:
        return
    if case.facts.get(place) not in ways:  # no longer open
        case.facts.pop(place, None)
    remembered(
        case,
        place,
        st.selectbox,
        "The way chosen, for the record and the lab",
        list(ways),
        None,
        format_func=lambda key: f"{way_title(ways[key])} ({VERDICTS[ways[key].verdict]})",
        placeholder="none yet",
    )


def _options(planned: Plan) -> None:
    rivals = None
    if planned.rival:
        rivals = {option.way: option for option in planned.rival.options}
    title = planned.rival.title if planned.rival else ""
    if said := divergence_text(planned.divergence):
        look.quiet(said)
    shown = False
    for key, heading in INDICATIONS.items():
        options = [option for option in planned.options if option.indication == key]
        if not options:
            continue
        shown = True
        st.subheader(heading, anchor=False)
        st.html(plan_rows.ways_html(options, rivals, title))
    if not shown:
        st.info("No way of restoring is noted for this connection.")
    elif planned.rival and planned.rival.stop:
        st.info(f"If {title}: {planned.rival.stop}")
