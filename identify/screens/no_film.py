"""No film: what was seen, felt or is known of an implant, weighed by itself."""

from __future__ import annotations

import json
from collections.abc import Sequence

import streamlit as st

from identify.evidence import Evidence
from identify.gathering import merge_answers
from identify.next_look import Look
from identify.record import NOT_A_DEVICE, record_html
from identify.screens import (
    about_case,
    answers,
    balance,
    confirming,
    family_plan,
    keeping,
    ladder,
    look,
    on_table,
    plan_view,
    record_pages,
    session,
    shelf_view,
    support_view,
    taught_view,
)
from identify.screens.session import Judged
from identify.screens.unfilmed import Unfilmed
from identify.sheets import Work, sheet_of
from identify.teeth import PERMANENT_TEETH

LEAD = "What was seen, felt or is known of an implant, weighed and kept without a film."
PLACES = ("mouth", "bench", "known")  # all but the eye on the film
MOST_RECORDS = 2
NOTHING_YET = "Nothing is answered yet. Answer what you can: each answer is weighed at once."


def show() -> None:
    unfilmed = on_table.unfilmed()
    look.head("No film", LEAD)
    look.say_if_not_saved(unfilmed)
    look.caution(unfilmed)
    _head(unfilmed)
    left, right = st.columns([5, 6], gap="medium")
    with left:
        _questions(unfilmed)
    with right:
        _weighed(unfilmed)
    look.quiet(NOT_A_DEVICE)


def _weighed(unfilmed: Unfilmed) -> None:
    families, restored, record, kept = st.tabs(["Families", "Restore", "Record", "Notes, history"])
    judged = session.judge_unfilmed(unfilmed)
    for tab, part in ((families, _families), (restored, _restore), (record, _record)):
        with tab:
            if judged is None:
                st.info(NOTHING_YET)
            else:
                part(unfilmed, judged)
    with kept:
        about_case.show_kept(unfilmed, once="it is kept once something is said of it")


def _head(unfilmed: Unfilmed) -> None:
    key = f"tooth {unfilmed.serial}"

    def change() -> None:
        unfilmed.tooth = st.session_state[key] or ""

    st.session_state[key] = unfilmed.tooth or None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.selectbox(
            "Tooth (FDI)",
            PERMANENT_TEETH,
            key=key,
            placeholder="not given",
            on_change=change,
            width=220,
        )
        about_case.ask_names(unfilmed)
        st.button(
            "Start another case",
            on_click=on_table.begin_unfilmed,
            disabled=keeping.is_unsaved(unfilmed),
            help="This one stays under Cases.",
        )


def _questions(unfilmed: Unfilmed) -> None:
    for place in PLACES:
        asked = answers.questions(session.notes().checklist.items.values(), place)
        with st.expander(answers.ASKED_OF[place], expanded=place == "mouth"):
            look.quiet(f"{sum(e.key in unfilmed.given for e in asked)} of {len(asked)} answered.")
            for entry in asked:
                answers.ask(unfilmed, entry, place="no film")


def _families(unfilmed: Unfilmed, judged: Judged) -> None:
    evidence, ranking = judged.evidence, judged.ranking
    st.html(f'<p class="rf-say">{look.escape(ranking.verdict.sentence)}</p>')
    support_view.disagreements(evidence)
    support_view.best(evidence, ranking)
    with st.expander("All families"):
        full = balance.full_width(support.rows for support in ranking.supports)
        st.html("".join(support_view.line(support, full) for support in ranking.supports))
    _next_look(unfilmed, judged.looks)
    taught_view.beside_flat(judged)
    shelf_view.size_that_fits(judged, session.notes())
    ladder.show_ladder(unfilmed, judged)
    _take_further(unfilmed, evidence)


def _next_look(unfilmed: Unfilmed, looks: Sequence[Look]) -> None:
    items = [one for one in looks if one.kind == "item"]
    records = [one for one in looks if one.kind == "record"][:MOST_RECORDS]
    if not looks:
        return
    st.subheader("What to look at next", anchor=False)
    look.bullets(f"{one.question} {one.why}" for one in records)
    if items:
        entry = session.notes().checklist.items[items[0].item]
        answers.ask(unfilmed, entry, place="no film next")
        look.quiet(items[0].why)


def _restore(unfilmed: Unfilmed, judged: Judged) -> None:
    look.quiet("The family is a guess until it is confirmed; what only a film shows is left open.")
    family_plan.show(unfilmed, None, judged)


def _record(unfilmed: Unfilmed, judged: Judged) -> None:
    confirming.ask(unfilmed, judged.ranking, not_yet="answers alone confirm nothing")
    typed = record_pages.ask_typed(unfilmed)
    said = (unfilmed.confirmed, unfilmed.facts, unfilmed.refuted)
    work = Work(unfilmed.public_name, record_pages.printed_at(), typed, *said)
    weighed = (judged.evidence, judged.ranking, judged.looks)
    sheet = sheet_of(work, judged.implant, *weighed, session.notes())
    record_pages.show(unfilmed, [sheet], sheet, plan_view.lines(unfilmed, None, judged))
    if st.toggle("Show the page"):  # drawn out of sight, it would not know its own height
        st.iframe(record_html(sheet, session.notes().checklist))


def _take_further(unfilmed: Unfilmed, evidence: Evidence) -> None:
    case = on_table.current()
    st.subheader("Take the answers further", anchor=False)
    look.quiet("To a film of this implant, once there is one; or as a file.")

    def take() -> None:
        case.answers[case.chosen] = merge_answers(case.answers.get(case.chosen, {}), unfilmed.given)

    with st.container(horizontal=True):
        if st.button(f"Add them to {case.public_name}, implant {case.chosen}", on_click=take):
            st.toast("Added: see Findings.")
        st.download_button(
            "Answers (JSON)",
            json.dumps(evidence.to_json(), indent=1, ensure_ascii=False),
            "answers.evidence.json",
            "application/json",
            on_click="ignore",
        )


show()
