"""Two families side by side: what tells them apart, and what this film says about it."""

from __future__ import annotations

import streamlit as st

from identify.apart import Apart, tell_apart
from identify.screens import look, session
from identify.screens.session import Judged
from identify.words import points_text

MOST_LINES = 6


def show_pair(judged: Judged) -> None:
    """Ask for two families, and hold them against each other item by item."""
    with st.expander("What tells two families apart"):
        titles = {support.title: support.key for support in judged.ranking.supports}
        names = list(titles)
        left, right = st.columns(2)
        first = left.selectbox("This", names, index=0, key="pair_first")
        second = right.selectbox("or this", names, index=1, key="pair_second")
        if first == second:
            look.quiet("Choose two different ones.")
            return
        keys = (titles[first], titles[second])
        apart = tell_apart(*keys, judged.evidence, session.notes(), judged.ranking)
        _show(apart, first, second)


def _show(apart: Apart, first: str, second: str) -> None:
    look.bullets(filter(None, (apart.separator, apart.limit)))
    if apart.differences:
        look.table(
            [
                [f"{found.label}\n{found.second or found.first}", points_text(found.points)]
                for found in apart.differences[:MOST_LINES]
            ],
            head=[f"Plus speaks for “{first}”, minus for “{second}”", "Points"],
            kind="points",
        )
    else:
        look.quiet("Nothing that was seen parts the two.")
    if apart.missing:
        look.quiet("What would part them:")
        look.bullets(apart.missing)
