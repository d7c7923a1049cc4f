"""How far a case is confirmed, what a trial part proved, and what would take it a rung up."""

from __future__ import annotations

from typing import get_args

import streamlit as st

from identify.confirmation import LADDER, Trial, standing, trial_place
from identify.screens import look, session
from identify.screens.as_kept import EitherCase
from identify.screens.case import Case
from identify.screens.session import Judged, remembered

NOT_LOOKED_AT = "nobody looked at it yet"  # the lowest rung where there is no film
ATTEMPTS: tuple[Trial, ...] = get_args(Trial)


def show_ladder(case: EitherCase, judged: Judged) -> None:
    """Show the rungs, the one reached, and the next; below *trial* nothing may be ordered."""
    st.subheader("How far it is confirmed", anchor=False)
    attempt: Trial = remembered(
        case, trial_place(case.chosen), st.selectbox, "A trial part", ATTEMPTS
    )
    kind = case.standing.get(case.chosen, ("", ""))[0]
    found = standing(judged.evidence, session.notes(), trial=attempt, record=kind == "record")
    filmed = isinstance(case, Case)
    rules = session.notes().rules.confirmation
    labels = {rung: one.label for rung, one in rules.items()}
    if not filmed:
        labels["film_only"] = NOT_LOOKED_AT
    reached = LADDER.index(found.rung)
    rungs = " › ".join(
        f"<strong>{look.escape(labels[rung])}</strong>"
        if number == reached
        else look.escape(labels[rung])
        for number, rung in enumerate(LADDER)
    )
    st.html(f'<p class="rf-quiet">{rungs}</p>')
    if attempt != "not tried":
        look.quiet(found.remark)
    if attempt == "seated and filmed" and case.chosen not in case.standing:
        case.facts.setdefault(f"confirmed by {case.chosen}", "trial")
        look.quiet("Not confirmed until the record says which family that part belongs to.")
        if filmed:
            look.next_button("Say which family it was", "record", key="say which", primary=False)
    elif found.next_step and not found.refuted:
        look.quiet(f"Next: {found.next_step}")
