"""Families: which it may be, how sure that is, and what to look at next."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from identify.contradiction import contradictions, disagreements
from identify.explain import best_against, best_for
from identify.film_trust import film_cautions
from identify.missing import missing
from identify.ranking import NONE_OF_THESE, NOT_AN_IMPLANT, Support
from identify.record import NOT_A_DEVICE
from identify.screens import answers, balance, ladder, look, pair, session, shelf_view, taught_view
from identify.screens.case import Case
from identify.screens.session import Judged
from identify.words import as_sentence, percent, points_text

LEAD = "What the evidence supports, with the reasons for and against."
RIVALS = (NONE_OF_THESE, NOT_AN_IMPLANT)
SHOWN = 3
MOST_NEEDS = 2
MOST_RECORDS = 2
MOST_MISSING = 3
MOST_MISSING_BELOW = 8
WORTH_A_ROW = 0.05


def show() -> None:
    case, reading, judged = look.judged_page("Families", LEAD)
    st.html(f'<p class="rf-say">{look.escape(judged.ranking.verdict.sentence)}</p>')
    marks = case.marks()
    assert marks is not None  # there is a reading
    cautions = film_cautions(case.film, marks, reading, judged.implant)
    st.subheader("Can this film be trusted?", anchor=False)
    look.bullets(cautions or ("Nothing speaks against it.",))
    _disagreements(judged)
    _rows(case, judged)
    _next_look(case, judged)
    taught_view.beside_flat(judged)
    shelf_view.size_that_fits(judged, session.notes())
    ladder.show_ladder(case, judged)
    pair.show_pair(judged)
    _rest(case, judged)
    look.quiet(NOT_A_DEVICE)


def shown_supports(supports: tuple[Support, ...]) -> list[Support]:
    """At most three, best first; where there is room, the likelier rival is one of them."""
    top = [s for s in supports[:SHOWN] if s.probability >= WORTH_A_ROW or s is supports[0]]
    if not any(s.key in RIVALS for s in top) and len(top) < SHOWN:
        top.append(next(s for s in supports if s.key in RIVALS))
    return top


def _disagreements(judged: Judged) -> None:
    differ = disagreements(judged.evidence, session.notes())
    if differ:
        st.subheader("Two answers differ", anchor=False)
        look.bullets(differ)


def _rows(case: Case, judged: Judged) -> None:
    st.subheader("Best supported", anchor=False)
    shown = shown_supports(judged.ranking.supports)
    full = balance.full_width(support.rows for support in shown)
    for support in shown:
        with st.container(border=True):
            _family(support, judged, [other for other in shown if other is not support], full)
            if support.key not in RIVALS:
                _restore_link(case, support, place="top")
    alike = judged.ranking.not_ranked_apart
    if alike and any(support.key in alike for support in shown):
        look.quiet("A film cannot rank the kinds of internal index among themselves.")
    look.quiet(
        f"None of these: {percent(judged.ranking.none_of_these)}. "
        f"Not an implant: {percent(judged.ranking.not_an_implant)}."
    )


def _family(support: Support, judged: Judged, rivals: Sequence[Support], full: float) -> None:
    needs = contradictions(support, judged.evidence, session.notes())[:MOST_NEEDS]
    reasons = "".join(
        f"<p>{word} {look.escape(row.sentence)}</p>"
        for word, row in (("For:", best_for(support, rivals)), ("Against:", best_against(support)))
        if row
    ) + "".join(f"<p>{look.escape(as_sentence(need))}</p>" for need in needs)
    st.html(
        f'<div class="rf-family"><h4>{look.escape(support.title)}</h4>'
        f'<span class="share">{look.escape(percent(support.probability))}</span>'
        f'<p class="word">{look.escape(support.verdict)} · {points_text(support.points)} points</p>'
        f"{balance.bar_with_sums(support.rows, full)}{reasons}"
        f'<p class="word">{look.escape(_missing(support, judged, MOST_MISSING))}</p>'
        f"<details><summary>Every reason ({len(support.rows)})</summary>"
        f"{balance.reasons(support.rows)}</details></div>"
    )


def _missing(support: Support, judged: Judged, most: int) -> str:
    return balance.missing_text(missing(support.key, judged.evidence, session.notes()), most)


def _restore_link(case: Case, support: Support, *, place: str) -> None:
    if st.button(
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
        st.html("".join(_line(support, full) for support in supports))
        by_title = {s.title: s for s in supports}
        chosen = by_title[st.selectbox("Reasons for and against", by_title)]
        st.html(balance.reasons(chosen.rows))
        look.quiet(_missing(chosen, judged, MOST_MISSING_BELOW))
        if chosen.key not in RIVALS:
            _restore_link(case, chosen, place="all")


def _line(support: Support, full: float) -> str:
    return (
        f'<div class="rf-family line"><h4>{look.escape(support.title)}</h4>'
        f'<span class="share">{look.escape(percent(support.probability))}</span>'
        f'<p class="word">{look.escape(support.verdict)} · {points_text(support.points)} points</p>'
        f"{balance.bar(support.rows, full)}</div>"
    )


show()
