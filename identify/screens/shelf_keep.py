"""Storing a shelf from the screen: what is wrong is shown, and nothing is kept by halves."""

from __future__ import annotations

import streamlit as st

from features.input_file import BadInput
from identify.screens import look
from identify.shelf_change import Change
from identify.shelf_check import ShelfFile
from identify.shelf_store import import_shelf

PROBLEMS_SHOWN = 20


def problems(change: Change) -> None:
    """Show every row that has to be put right."""
    number = len(change.problems)
    st.error(
        f"{number} {'row has' if number == 1 else 'rows have'} to be put right first; "
        "until then nothing is taken over."
    )
    look.table(
        [[problem.where, problem.sentence] for problem in change.problems[:PROBLEMS_SHOWN]],
        head=["Where", "What is wrong, and the way out"],
        kind="problems",
    )
    if number > PROBLEMS_SHOWN:
        look.quiet(f"And {number - PROBLEMS_SHOWN} more.")


def store(file: ShelfFile, *, replace: bool) -> None:
    """Take a file over and start the page afresh; or show what is wrong."""
    try:
        change = import_shelf(file, replace=replace)
    except BadInput as error:
        st.error(str(error))
        return
    if change.problems:
        problems(change)
        return
    done(f"On the shelf: {change.sentence}.")


def done(message: str) -> None:
    """Start the page afresh with a message on top."""
    st.session_state["shelf_done"] = message
    st.session_state["shelf_uploads"] = st.session_state.get("shelf_uploads", 0) + 1
    st.rerun()
