"""Families: which it may be, how sure that is, and what to look at next."""

from __future__ import annotations

from functools import partial

import streamlit as st

from identify.film_trust import film_cautions
from identify.ranking import Support
from identify.record import NOT_A_DEVICE
from identify.screens import (
    answers,
    balance,
    ladder,
    look,
    pair,
    session,
    shelf_view,
    support_view,
    taught_view,
)
from identify.screens.case import Case
from identify.screens.session import Judged

LEAD = "What the evidence supports, with the reasons for and against."
MOST_RECORDS = 2
MOST_MISSING_BELOW = 8


def show() -> None:
    case, reading, judged = look.judged_page("Families", LEAD)
    st.html(f'<p class="rf-say">{look.escape(judged.ranking.verdict.sentence)}</p>')
    marks = case.marks()
    assert marks is not None  # there is a reading
    cautions = film_cautions(case.film, marks, reading, judged.implant)
    st.subheader("Can this film be trusted?", anchor=False)
    look.bullets(cautions or ("Nothing speaks against it.",))
    support_view.disagreements(judged.evidence)
    below = partial(_restore_link, case, place="top")
    support_view.best(judged.evidence, judged.ranking, below)
    _next_look(case, judged)
    taught_view.beside_flat(judged)
    shelf_view.size_that_fits(judged, session.notes())
    ladder.show_ladder(case, judged)
    pair.show_pair(judged)
    _rest(case, judged)
    look.quiet(NOT_A_DEVICE)


def _restore_link(case: Case, support: Support, *, place: str) -> None:
    if support.key not in support_view.RIVALS and st.button(
        "What can be restored on it", key=f"restore_{place}_{support.key}", type="tertiary"
    ):
        session.look_at_family(case, support.key)
        st.switch_page(look.page("restore"))


def _next_look(case: Case, judged: Judged) -> None:
    if not judged.looks:
        return
    st.subheader("What to look at next", anchor=False)
    records = [found for found in judged.looks if found.kind == "record"]
    items = [found for found in judged.looks if found.kind == "item"]
    look.bullets(f"{found.question} {found.why}" for found in records[:MOST_RECORDS])
    if items:
        answers.ask(case, session.notes().checklist.items[items[0].item], place="families")
        look.quiet(items[0].why)


def _rest(case: Case, judged: Judged) -> None:
    with st.expander("All families, and every reason"):
        supports = judged.ranking.supports
        full = balance.full_width(support.rows for support in supports)
        st.html("".join(support_view.line(support, full) for support in supports))
        by_title = {s.title: s for s in supports}
        chosen = by_title[st.selectbox("Reasons for and against", by_title)]
        st.html(balance.reasons(chosen.rows))
        look.quiet(support_view.missing_text(chosen, judged.evidence, MOST_MISSING_BELOW))
        _restore_link(case, chosen, place="all")


show()
