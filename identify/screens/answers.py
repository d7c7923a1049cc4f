"""Questions a person answers: looked at on the film, seen or felt in the mouth, or known."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import streamlit as st

from identify.checklist import ChecklistItem
from identify.evidence import BY_HAND, By, Item
from identify.screens.answered import Answered

ASKED_OF = {
    "eye": "What you see on the film",
    "mouth": "What you see or feel on the implant itself",
    "bench": "What a part or screw in the hand, an impression or a scan shows",
    "known": "What is known",
}
CANNOT = "can't tell"
YES_NO = {"present": "yes", "absent": "no"}
COPY = "copy"
ON = "On the implant itself, or on a part screwed to it?"
PLACES = {
    "implant": "the implant itself",
    "part": "a part screwed to it",
    COPY: "an impression or scan of it",
    CANNOT: CANNOT,
}


def ask(case: Answered, entry: ChecklistItem, *, place: str, said: str = "") -> None:
    """One question with its answers; taking an answer back leaves it open again.

    `place` tells two controls for one question apart; `said` is what the film's reading says.
    """
    label = case.chosen
    key = f"answer_{place}_{label}_{entry.key}"
    given = case.answers.get(label, {}).get(entry.key)
    help_text = " ".join(filter(None, [entry.help, said]))
    question = entry.question or entry.label

    def keep(value: Any) -> None:
        on = st.session_state.get(f"{key}_on") or "implant"
        case.answer(label, entry.key, _item(entry, value, on))

    if entry.is_number:
        _ask_number(entry, given, question, key, keep, help_text)
    else:
        _ask_state(entry, given, question, key, keep, help_text)
    if given and given.decided and BY_HAND & set(entry.asked_of):
        _ask_where(entry, given, f"{key}_on", keep)


def _ask_state(
    entry: ChecklistItem,
    given: Item | None,
    question: str,
    key: str,
    keep: Callable[[Any], None],
    help_text: str,
) -> None:
    st.session_state[key] = given.state if given else None
    st.segmented_control(
        question,
        [*entry.states, CANNOT],
        format_func=lambda state: YES_NO.get(state, state),
        key=key,
        on_change=lambda: keep(st.session_state[key]),
        help=help_text,
    )


def _ask_number(
    entry: ChecklistItem,
    given: Item | None,
    question: str,
    key: str,
    keep: Callable[[Any], None],
    help_text: str,
) -> None:
    value = given.value if given else None
    year, unsure = entry.unit == "year", f"{key}_unsure"
    st.session_state[key] = value if value is None else int(value) if year else float(value)
    st.session_state[unsure] = given is not None and not given.decided
    step = {"step": 1} if year else {"step": 0.05, "format": "%.2f", "min_value": 0.0}
    more: dict[str, Any] = {"value": None, "width": 320, "help": help_text, **step}
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.number_input(question, key=key, on_change=lambda: keep(st.session_state[key]), **more)
        st.checkbox(
            CANNOT,
            key=unsure,
            on_change=lambda: keep(CANNOT if st.session_state[unsure] else None),
        )


def _ask_where(entry: ChecklistItem, given: Item, key: str, keep: Callable[[Any], None]) -> None:
    """A part screwed to the implant has a connection and a screw of its own: of it, it weighs 0."""
    copied = given.by == "bench" and answered_by(entry) == "mouth" and given.on == "implant"
    st.session_state[key] = COPY if copied else given.on
    places = [place for place in PLACES if place != COPY or _may_be_copied(entry)]
    st.segmented_control(
        ON,
        places,
        format_func=PLACES.__getitem__,
        key=key,
        on_change=lambda: keep(given.state if given.value is None else given.value),
    )


def _may_be_copied(entry: ChecklistItem) -> bool:
    return entry.asked_of[:1] == ("mouth",) and "bench" in entry.asked_of


def questions(items: Iterable[ChecklistItem], by: str) -> list[ChecklistItem]:
    """Return what is asked of one implant by itself, of those that answer so."""
    return [e for e in items if e.question and not e.alike and answered_by(e) == by]


def answered_by(entry: ChecklistItem) -> By:
    """Who is taken to answer: the first this question is asked of."""
    return entry.asked_of[0] if entry.asked_of else "eye"


def _item(entry: ChecklistItem, given: Any, on: Any) -> Item | None:
    """Put an answer together; None where it was taken back."""
    if given is None:
        return None
    by = answered_by(entry)
    if on == COPY:
        by, on = "bench", "implant"
    on = on if by in BY_HAND else "implant"
    if entry.is_number and given != CANNOT:
        return Item(value=float(given), by=by, on=on)
    return Item(state=given, by=by, on=on)
