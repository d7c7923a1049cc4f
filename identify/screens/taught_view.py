"""What confirmed cases taught, as a table; and, only when asked for, their weight beside flat."""

from __future__ import annotations

from typing import Any

import streamlit as st

from features.input_file import BadInput
from identify.screens import keeping, look, session
from identify.screens.session import Judged, remembered_in
from identify.taught import Taught, confirmed_cases, what_was_taught
from identify.weigh import weigh
from identify.words import percent

USED = "own frequencies beside flat"
SHOWN = 3


def show() -> None:
    """Show how often families were confirmed here, and whether what was stated held."""
    taught = _taught()
    with st.expander(f"What confirmed cases taught ({taught.cases})"):
        if not taught.cases:
            look.quiet("No implant has been confirmed by a trial part or a record yet.")
            return
        met = sorted(taught.met.items(), key=lambda pair: -pair[1])
        look.table([[title, str(count)] for title, count in met], head=("Confirmed as", "times"))
        look.table(_reliability(taught), head=("Stated, on average", "it was right", "cases"))
        label = "Show these frequencies’ weight beside the flat one"
        remembered_in(_settings(), USED, USED, st.toggle, label)
        look.quiet("An unknown implant is usually one the practice did not place: flat leads.")


def _reliability(taught: Taught) -> list[list[str]]:
    return [
        [
            percent(one.said),
            f"{percent(one.right)}\nbetween {percent(one.low)} and {percent(one.high)}",
            str(one.cases),
        ]
        for one in taught.bins
    ]


def beside_flat(judged: Judged) -> None:
    """One line: the leading families if this practice's own frequencies counted."""
    if not _settings().get(USED):
        return
    shares = _taught().shares
    ranking = weigh(judged.evidence, session.notes(), shares=shares)
    best = ", ".join(f"{s.title} {percent(s.probability)}" for s in ranking.families[:SHOWN])
    look.quiet(f"If families were met as often as among your confirmed cases: {best}.")


def _settings() -> dict[str, Any]:
    settings: dict[str, Any] = st.session_state.setdefault("settings", {})
    return settings


def _taught() -> Taught:
    titles = {key: family.title for key, family in session.notes().families.items()}
    try:
        cases = confirmed_cases(keeping.book(), frozenset(session.confirming()))
    except BadInput:
        cases = []  # said at the head of the page
    return what_was_taught(cases, titles)
