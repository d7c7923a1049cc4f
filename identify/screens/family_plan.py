"""A family chosen, and what can be built on it: the plan, and what its note says."""

from __future__ import annotations

import streamlit as st

from features.reading import Reading
from identify.note import Family
from identify.screens import look, note_view, plan_view, session
from identify.screens.as_kept import EitherCase
from identify.screens.session import Judged


def show(case: EitherCase, reading: Reading | None, judged: Judged) -> None:
    """Let a family be chosen, a rival beside it if wanted, and show the plan."""
    families = session.notes().families
    first, second = st.columns(2)
    with first:
        family = families[_chosen(case, judged)]
    with second:
        rival = families.get(_beside(judged, family) or "")
    basis = "on this film" if reading else "on these answers"
    verdict = judged.ranking.find(family.key).verdict.capitalize()
    look.quiet(f"{verdict} {basis}. {family.body.capitalize()}. {family.era}.")
    recorded = families[session.recorded_family(case, judged)]
    if recorded is not family:
        st.warning(f"Confirmed is {recorded.title}: the record carries the plan for that family.")
    plan_view.show(case, reading, judged, family, rival)
    note_view.show_before(family)
    note_view.show_note(family)


def _chosen(case: EitherCase, judged: Judged) -> str:
    families = session.notes().families
    order = [support.key for support in judged.ranking.families]

    def choose() -> None:
        session.look_at_family(case, st.session_state["restore_family"])

    st.session_state["restore_family"] = session.family_in_view(case, judged)
    st.selectbox(
        "Family",
        order,
        format_func=lambda key: families[key].title,
        key="restore_family",
        on_change=choose,
    )
    return session.family_in_view(case, judged)


def _beside(judged: Judged, family: Family) -> str | None:
    families = session.notes().families
    order = [support.key for support in judged.ranking.families if support.key != family.key]
    rival: str | None = st.selectbox(
        "Beside it, a rival",
        order,
        None,
        format_func=lambda key: families[key].title,
        placeholder="none",
    )
    return rival
