"""Questions a person answers: looked at on the film, seen or felt in the mouth, or known."""

from __future__ import annotations

from typing import Any

import streamlit as st

from identify.evidence import By, Item
from identify.note import ChecklistItem
from identify.screens.case import Case

CANNOT = "can't tell"
YES_NO = {"present": "yes", "absent": "no"}


def ask(case: Case, entry: ChecklistItem, *, place: str, said: str = "") -> None:
    """One question with its answers; taking an answer back leaves it open again.

    `place` tells two controls for one question apart; `said` is what the film's reading says.
    """
    label = case.chosen
    key = f"answer_{place}_{label}_{entry.key}"
    given = case.answers.get(label, {}).get(entry.key)
    help_text = " ".join(filter(None, [entry.help, said]))

    def keep() -> None:
        case.answer(label, entry.key, _item(entry, st.session_state[key]))

    question = entry.question or entry.label
    if entry.is_number:
        st.session_state[key] = int(given.value) if given and given.value is not None else None
        st.number_input(
            question, value=None, step=1, key=key, on_change=keep, help=help_text, width=260
        )
        return
    st.session_state[key] = given.state if given else None
    st.segmented_control(
        question,
        [*entry.states, CANNOT],
        format_func=lambda state: YES_NO.get(state, state),
        key=key,
        on_change=keep,
        help=help_text,
    )


def answered_by(entry: ChecklistItem) -> By:
    """Who is taken to answer: the first this question is asked of."""
    return entry.asked_of[0] if entry.asked_of else "eye"


def _item(entry: ChecklistItem, given: Any) -> Item | None:
    if given is None:
        return None
    if entry.is_number:
        return Item(value=float(given), by=answered_by(entry))
    return Item(state=given, by=answered_by(entry))
