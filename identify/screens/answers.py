"""Questions a person answers: looked at on the film, seen or felt in the mouth, or known."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal

import streamlit as st

from identify.checklist import ChecklistItem
from identify.evidence import By, Item
from identify.screens.case import Case

CANNOT = "can't tell"
IMPLANT: Literal["implant"] = "implant"
PART: Literal["part"] = "part"
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
        on = st.session_state.get(f"{key}_on") or IMPLANT
        case.answer(label, entry.key, _item(entry, st.session_state[key], on))

    question = entry.question or entry.label
    if entry.is_number:
        _ask_number(entry, given, question, key=key, on_change=keep, help=help_text, width=320)
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
    if given and "mouth" in entry.asked_of and given.decided:
        _ask_where(given, f"{key}_on", keep)


def _ask_number(
    entry: ChecklistItem, given: Item | None, question: str, *, key: str, **more: Any
) -> None:
    value = given.value if given else None
    year = entry.unit == "year"
    st.session_state[key] = value if value is None else int(value) if year else float(value)
    step = {"step": 1} if year else {"step": 0.05, "format": "%.2f", "min_value": 0.0}
    st.number_input(question, value=None, key=key, **step, **more)


def _ask_where(given: Item, key: str, keep: Callable[[], None]) -> None:
    """A part screwed to the implant has a connection of its own; seen there, it weighs 0."""
    st.session_state[key] = given.on
    st.segmented_control(
        "Seen on",
        [IMPLANT, PART],
        format_func={IMPLANT: "the implant itself", PART: "a part screwed to it"}.__getitem__,
        key=key,
        on_change=keep,
    )


def answered_by(entry: ChecklistItem) -> By:
    """Who is taken to answer: the first this question is asked of."""
    return entry.asked_of[0] if entry.asked_of else "eye"


def _item(entry: ChecklistItem, given: Any, on: Any) -> Item | None:
    if given is None:
        return None
    by = answered_by(entry)
    if entry.is_number:
        return Item(value=float(given), by=by)
    return Item(state=given, by=by, on=on if by == "mouth" else IMPLANT)
