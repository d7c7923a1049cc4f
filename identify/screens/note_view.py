"""The written note on a family: what to settle first, what to beware of, and its sources."""

from __future__ import annotations

import re
from collections.abc import Mapping

import streamlit as st

from identify.note import Family, Source
from identify.screens import look, session

CITED = re.compile(r"\[([a-z0-9_]+)\]")
READ_FIRST = ("Confirm in the mouth", "Restoring it", "Cautions")


def show_before(family: Family) -> None:
    """What to settle before anything is ordered, and what to beware of."""
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


def show_note(family: Family) -> None:
    """Show the whole note, with its references."""
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
