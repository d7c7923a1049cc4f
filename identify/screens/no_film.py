"""No film: what was seen, felt or is known of an implant, weighed by itself."""

from __future__ import annotations

import json
from collections.abc import Sequence

import streamlit as st

from identify.evidence import Evidence
from identify.gathering import gather_answers, merge_answers
from identify.next_look import Look, next_looks
from identify.ranking import NOT_CONFIRMED, Ranking
from identify.record import NOT_A_DEVICE
from identify.screens import answers, balance, look, note_view, on_table, session, support_view
from identify.screens.answered import LABEL, Unfilmed
from identify.weigh import weigh

LEAD = "What was seen, felt or is known of an implant, weighed without a film."
PLACES = ("mouth", "bench", "known")  # all but the eye on the film
MOST_RECORDS = 2


def show() -> None:
    look.head("No film", LEAD)
    look.caution_line(NOT_CONFIRMED, ["no film"])
    unfilmed: Unfilmed = st.session_state.setdefault("unfilmed", Unfilmed())
    left, right = st.columns([5, 6], gap="medium")
    with left:
        _questions(unfilmed)
    with right:
        evidence = gather_answers(LABEL, unfilmed.given, session.notes().checklist)
        if not evidence.items:
            st.info("Nothing is answered yet. Answer what you can: each answer is weighed at once.")
        else:
            ranking = weigh(evidence, session.notes())
            _families(evidence, ranking)
            _next_look(unfilmed, next_looks(evidence, session.notes(), ranking))
            _note(ranking)
            _keep(unfilmed, evidence)
    look.quiet(NOT_A_DEVICE)


def _questions(unfilmed: Unfilmed) -> None:
    for place in PLACES:
        asked = answers.questions(session.notes().checklist.items.values(), place)
        with st.expander(answers.ASKED_OF[place], expanded=place == "mouth"):
            look.quiet(f"{sum(e.key in unfilmed.given for e in asked)} of {len(asked)} answered.")
            for entry in asked:
                answers.ask(unfilmed, entry, place="no film")


def _families(evidence: Evidence, ranking: Ranking) -> None:
    st.html(f'<p class="rf-say">{look.escape(ranking.verdict.sentence)}</p>')
    support_view.disagreements(evidence)
    st.subheader("Best supported", anchor=False)
    shown = support_view.shown_supports(ranking.supports)
    full = balance.full_width(support.rows for support in shown)
    for support in shown:
        with st.container(border=True):
            support_view.card(support, evidence, shown, full)
    support_view.rivals(ranking)
    with st.expander("All families"):
        full = balance.full_width(support.rows for support in ranking.supports)
        st.html("".join(support_view.line(support, full) for support in ranking.supports))


def _next_look(unfilmed: Unfilmed, looks: Sequence[Look]) -> None:
    """The question that helps most, of those that need no film."""
    items = session.notes().checklist.items
    asked = [items[one.item] for one in looks if one.kind == "item"]
    open_ones = [entry for entry in asked if answers.answered_by(entry) in PLACES]
    records = [one for one in looks if one.kind == "record"][:MOST_RECORDS]
    if not open_ones and not records:
        return
    st.subheader("What to look at next", anchor=False)
    look.bullets(f"{one.question} {one.why}" for one in records)
    if open_ones:
        answers.ask(unfilmed, open_ones[0], place="no film next")


def _note(ranking: Ranking) -> None:
    """The plan needs the measures of a film; what the note says does not."""
    families = session.notes().families
    st.subheader("Before anything is ordered", anchor=False)
    order = [support.key for support in ranking.families]
    key = st.selectbox("Family", order, format_func=lambda key: families[key].title)
    note_view.show_before(families[key])
    note_view.show_note(families[key])


def _keep(unfilmed: Unfilmed, evidence: Evidence) -> None:
    case = on_table.current()
    st.subheader("Keep the answers", anchor=False)
    look.quiet("They last as long as this window: take them to a film, or keep them as a file.")

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
        st.button("Start again", on_click=st.session_state.pop, args=("unfilmed", None))


show()
