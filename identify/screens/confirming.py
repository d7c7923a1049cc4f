"""Has it been confirmed: by what, and as which family."""

from __future__ import annotations

import streamlit as st

from identify.case_facts import family_place
from identify.confirmation import attempt_on, trial_place, trial_remark
from identify.ranking import Ranking
from identify.screens import session
from identify.screens.as_kept import EitherCase
from identify.screens.session import remembered


def ask(case: EitherCase, ranking: Ranking, *, not_yet: str) -> None:
    """Ask it of the implant in hand; `not_yet` says what alone confirms nothing."""
    titles = [support.title for support in ranking.families]
    kinds = session.confirming()
    with st.expander("Has it been confirmed?"):
        kind = remembered(
            case,
            f"confirmed by {case.chosen}",
            st.selectbox,
            "By",
            list(kinds),
            None,
            format_func=kinds.__getitem__,
            placeholder=f"not yet: {not_yet}",
        )
        name = f"confirmed as {case.chosen}"
        family = remembered(case, name, st.selectbox, "As", titles, None, placeholder="–")
    before = case.confirmed.pop(case.chosen, None)
    now = (kind, family) if kind and family else None
    if now:
        case.confirmed[case.chosen] = now
        if kind == "trial" and attempt_on(case.chosen, case.facts) == "not tried":
            case.facts[trial_place(case.chosen)] = "seated and filmed"
    if now and case.chosen not in case.standing:
        st.warning(
            f"{trial_remark(case.chosen, case.facts) or 'The case is marked as refuted.'} So "
            "nothing is confirmed; see the trial part on Families, or the mark on Cases."
        )
    if now != before:
        case.facts.pop(family_place(case.chosen), None)  # a guess from before
        st.rerun()  # the caution above was drawn before this was known
