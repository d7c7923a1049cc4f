"""Restore: what can be built on a family, with the reasons, and what to beware of."""

from __future__ import annotations

import re
from collections.abc import Mapping

import streamlit as st

from identify.note import Family, Source
from identify.screens import look, plan_view, session
from identify.screens.case import Case
from identify.screens.session import Judged

LEAD = "What can still be built on it. The family is a guess until it is confirmed in the mouth."
CITED = re.compile(r"\[([a-z0-9_]+)\]")
READ_FIRST = ("Confirm in the mouth", "Restoring it", "Cautions")


def show() -> None:
    case, reading, judged = look.judged_page("Restore", LEAD)
    families = session.notes().families
    first, second = st.columns(2)
    with first:
        family = families[_chosen(case, judged)]
    with second:
        rival = families.get(_beside(judged, family) or "")
    share = judged.ranking.find(family.key)
    look.quiet(
        f"{share.verdict.capitalize()} on this film. {family.body.capitalize()}. {family.era}."
    )
    recorded = families[session.recorded_family(case, judged)]
    if recorded is not family:
        st.warning(f"Confirmed is {recorded.title}: the record carries the plan for that family.")
    plan_view.show(case, reading, judged, family, rival)
    _before(family)
    _note(family)
    look.next_button("Write the record", "record")


def _chosen(case: Case, judged: Judged) -> str:
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


def _before(family: Family) -> None:
    if family.restoring is None:
        return
    with st.expander("Settle first, and beware"):
        left, right = st.columns(2, gap="medium")
        with left:
            st.subheader("Settle first", anchor=False)
            look.bullets(family.restoring.checks)
        with right:
            st.subheader("Beware", anchor=False)
            look.bullets(family.restoring.cautions)


def _note(family: Family) -> None:
    headings = [*READ_FIRST, *(name for name in family.prose if name not in READ_FIRST)]
    parts = [f"**{name}**\n\n{family.prose[name]}" for name in headings if name in family.prose]
    text, references = numbered_sources("\n\n".join(parts), session.notes().sources)
    with st.expander("The note on this family"):
        st.markdown(text)
        look.bullets(references, numbered=True)


def numbered_sources(text: str, sources: Mapping[str, Source]) -> tuple[str, list[str]]:
    """Turn the keys of sources in a note into numbers, with the references they stand for."""
    keys = list(dict.fromkeys(k for k in CITED.findall(text) if k in sources))
    for number, key in enumerate(keys, 1):
        text = text.replace(f"[{key}]", f"[{number}]")
    return text, [sources[key].reference for key in keys]


show()
