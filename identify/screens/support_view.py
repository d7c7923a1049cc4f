"""A family as the screens show it: a card with its reasons, or one line."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from identify import contradiction
from identify.evidence import Evidence
from identify.explain import best_against, best_for
from identify.missing import missing
from identify.ranking import NONE_OF_THESE, NOT_AN_IMPLANT, Ranking, Support
from identify.screens import balance, look, session
from identify.words import as_sentence, percent, points_text

RIVALS = (NONE_OF_THESE, NOT_AN_IMPLANT)
SHOWN = 3
MOST_NEEDS = 2
MOST_MISSING = 3
WORTH_A_ROW = 0.05


def _shown(supports: tuple[Support, ...]) -> list[Support]:
    """At most three, best first; where there is room, the likelier rival is one of them."""
    top = [s for s in supports[:SHOWN] if s.probability >= WORTH_A_ROW or s is supports[0]]
    if not any(s.key in RIVALS for s in top) and len(top) < SHOWN:
        top.append(next(s for s in supports if s.key in RIVALS))
    return top


def disagreements(evidence: Evidence) -> None:
    """Show which answers differ, if any do."""
    differ = contradiction.disagreements(evidence, session.notes())
    if differ:
        st.subheader("Two answers differ", anchor=False)
        look.bullets(differ)


def best(
    evidence: Evidence, ranking: Ranking, below: Callable[[Support], None] = lambda _: None
) -> None:
    """Show the likeliest as cards, `below` in each, and how likely it is none of the families."""
    st.subheader("Best supported", anchor=False)
    shown = _shown(ranking.supports)
    full = balance.full_width(support.rows for support in shown)
    for support in shown:
        with st.container(border=True):
            _card(support, evidence, shown, full)
            below(support)
    if any(support.key in ranking.not_ranked_apart for support in shown):
        look.quiet("Before the platform is seen, kinds of internal index are not ranked apart.")
    look.quiet(
        f"None of these: {percent(ranking.none_of_these)}. "
        f"Not an implant: {percent(ranking.not_an_implant)}."
    )


def _card(support: Support, evidence: Evidence, shown: Sequence[Support], full: float) -> None:
    """Show one family: its share, its balance, and what speaks for and against it."""
    others = [other for other in shown if other is not support]
    needs = contradiction.contradictions(support, evidence, session.notes())[:MOST_NEEDS]
    reasons = "".join(
        f"<p>{word} {look.escape(row.sentence)}</p>"
        for word, row in (("For:", best_for(support, others)), ("Against:", best_against(support)))
        if row
    ) + "".join(f"<p>{look.escape(as_sentence(need))}</p>" for need in needs)
    st.html(
        f'<div class="rf-family"><h4>{look.escape(support.title)}</h4>'
        f'<span class="share">{look.escape(percent(support.probability))}</span>'
        f'<p class="word">{look.escape(support.verdict)} · {points_text(support.points)} points</p>'
        f"{balance.bar_with_sums(support.rows, full)}{reasons}"
        f'<p class="word">{look.escape(missing_text(support, evidence, MOST_MISSING))}</p>'
        f"<details><summary>Every reason ({len(support.rows)})</summary>"
        f"{balance.reasons(support.rows)}</details></div>"
    )


def missing_text(support: Support, evidence: Evidence, most: int) -> str:
    """Say what the family foretells that was not looked at, `most` of it."""
    return balance.missing_text(missing(support.key, evidence, session.notes()), most)


def line(support: Support, full: float) -> str:
    """One family on one line, as HTML."""
    return (
        f'<div class="rf-family line"><h4>{look.escape(support.title)}</h4>'
        f'<span class="share">{look.escape(percent(support.probability))}</span>'
        f'<p class="word">{look.escape(support.verdict)} · {points_text(support.points)} points</p>'
        f"{balance.bar(support.rows, full)}</div>"
    )
