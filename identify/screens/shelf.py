"""Shelf: the practice's own systems, from a file and into one; they stay on this machine."""

from __future__ import annotations

from datetime import UTC, datetime

import streamlit as st

from features.input_file import BadInput
from identify.database import data_folder
from identify.screens import look, session, shelf_view
from identify.shelf import Shelf
from identify.shelf_change import Change, plan_change
from identify.shelf_csv import COLUMNS, csv_of
from identify.shelf_file import read_shelf_file, shelf_text
from identify.shelf_rows import ShelfFile
from identify.shelf_store import clear_shelf, import_shelf, load_shelf

LEAD = (
    "The systems you work with, by whatever names you use: which sizes there are, and which parts "
    "can be had. The lists are yours and stay on this machine."
)
PROBLEMS_SHOWN = 20


def show() -> None:
    look.open_page("Shelf", LEAD)
    try:
        shelf = load_shelf()
    except BadInput as error:
        st.error(str(error))
        return
    with st.container():  # always there, or what follows is built anew and closes when it goes
        for message in st.session_state.pop("shelf_done", []):
            st.success(message)
    if shelf:
        _counts(shelf)
    else:
        _empty()
    _bring_in(shelf)
    if shelf:
        shelf_view.systems(shelf, session.notes(), datetime.now(UTC).date())
        _take_out(shelf)
    look.quiet(f"Kept in {data_folder()}. Nothing of it is sent anywhere.")


def _counts(shelf: Shelf) -> None:
    look.numbers(
        (
            ("Systems", str(len(shelf_view.system_names(shelf)))),
            ("Sizes", str(len(shelf.sizes))),
            ("Parts", str(len(shelf.parts))),
            ("At hand", str(sum(part.state == "in stock" for part in shelf.parts))),
        )
    )


def _empty() -> None:
    st.html(
        '<p class="rf-say">Nothing is on the shelf yet. With it, the sizes you know are held '
        "against what was measured, and a plan can say which parts are at hand.</p>"
    )
    left, right = st.columns(2, gap="small", vertical_alignment="center")
    left.download_button(
        "An empty list to fill in",
        "\ufeff" + csv_of(Shelf()),  # the mark tells a spreadsheet that this is UTF-8
        "shelf.csv",
        "text/csv",
        on_click="ignore",
        width="stretch",
    )
    if right.button("Try it with an invented shelf", width="stretch"):
        _store(read_shelf_file(_demo(), "shelf.toml", session.notes()), replace=False)


def _demo() -> bytes:
    return (session.DEMO / "shelf.toml").read_bytes()


def _bring_in(shelf: Shelf) -> None:
    label = "Bring in another list" if shelf else "Bring in a list"
    with st.expander(label, expanded=not shelf, icon=":material/upload_file:"):
        raw = st.file_uploader(
            "A list as CSV or TOML",
            type=["csv", "toml", "txt"],
            key=f"shelf_upload_{st.session_state.get('shelf_uploads', 0)}",
            help=f"The first row of a CSV names its columns: {', '.join(COLUMNS)}.",
        )
        replace = bool(shelf) and st.toggle("Take everything else off the shelf", key="shelf_only")
        if raw is not None:
            _preview(shelf, raw.getvalue(), raw.name, replace=replace)


def _preview(shelf: Shelf, raw: bytes, name: str, *, replace: bool) -> None:
    try:
        file = read_shelf_file(raw, name, session.notes())
    except BadInput as error:
        st.error(str(error))
        return
    change = plan_change(shelf, file, replace=replace)
    if change.problems:
        _problems(change)
        return
    st.markdown(f"**{name}** would make this of the shelf: {change.sentence}.")
    shelf_view.tables(file.shelf, datetime.now(UTC).date(), most=6)
    if st.button("Put it on the shelf", type="primary"):
        _store(file, replace=replace)


def _problems(change: Change) -> None:
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


def _store(file: ShelfFile, *, replace: bool) -> None:
    try:
        change = import_shelf(file, replace=replace)
    except BadInput as error:
        st.error(str(error))
        return
    if change.problems:  # somebody changed the shelf in another window meanwhile
        _problems(change)
        return
    st.session_state["shelf_done"] = [f"On the shelf: {change.sentence}."]
    st.session_state["shelf_uploads"] = st.session_state.get("shelf_uploads", 0) + 1
    st.rerun()


def _take_out(shelf: Shelf) -> None:
    st.subheader("Take it along", anchor=False)
    with st.container(horizontal=True, gap="small"):
        for name, label in (("shelf.csv", "As a table (CSV)"), ("shelf.toml", "As TOML")):
            mark = "\ufeff" if name.endswith("csv") else ""
            st.download_button(label, mark + shelf_text(shelf, name), name, on_click="ignore")
        with st.popover("Clear the shelf"):
            st.write("All sizes and parts are taken off. Save a table first if you may want them.")
            if st.button("Take everything off", type="primary"):
                clear_shelf()
                st.session_state["shelf_done"] = ["The shelf is empty."]
                st.rerun()


show()
