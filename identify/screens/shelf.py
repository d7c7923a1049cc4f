"""Shelf: the practice's own systems, from a file and into one; they stay on this machine."""

from __future__ import annotations

from datetime import UTC, datetime

import streamlit as st

from features.input_file import BadInput
from identify.database import data_folder
from identify.screens import look, on_table, session, shelf_edit, shelf_keep, shelf_view
from identify.shelf import Shelf
from identify.shelf_change import plan_change
from identify.shelf_csv import COLUMNS, csv_of
from identify.shelf_file import read_shelf_file, shelf_text
from identify.shelf_store import clear_shelf, load_shelf

LEAD = (
    "The systems you work with, by whatever names you use: which sizes there are, and which parts "
    "can be had. The lists are yours and stay on this machine."
)


def show() -> None:
    look.open_page("Shelf", LEAD)
    try:
        shelf = load_shelf()
    except BadInput as error:
        st.error(str(error))
        return
    with st.container():  # always there, or what follows is built anew and closes when it goes
        message = st.session_state.pop("shelf_done", "")
        if message:
            st.success(message)
    if shelf:
        _counts(shelf)
    else:
        _empty()
    _bring_in(shelf)
    shelf_edit.edit(shelf, session.notes())
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
        demo = read_shelf_file(_demo(), "shelf.toml", session.notes())
        shelf_keep.store(demo, replace=False)


def _demo() -> bytes:
    return (on_table.DEMO / "shelf.toml").read_bytes()


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
        shelf_keep.problems(change)
        return
    st.markdown(f"**{name}** would make this of the shelf: {change.sentence}.")
    shelf_view.tables(file.shelf, datetime.now(UTC).date(), most=6)
    if st.button("Put it on the shelf", type="primary"):
        shelf_keep.store(file, replace=replace)


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
                shelf_keep.done("The shelf is empty.")


show()
