"""Changing the shelf by hand: two tables to type in, checked like any list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import streamlit as st

from identify.screens import shelf_keep
from identify.shelf import STATES, Part, Shelf, Size
from identify.shelf_check import ShelfFile, part_kinds, read_rows
from identify.shelf_csv import PART_COLUMNS, SIZE_COLUMNS, split_lengths

if TYPE_CHECKING:
    from identify.knowledge import Notes

Cells = dict[str, Any]
SIZE_CELLS = ("system", *SIZE_COLUMNS, "note")
PART_CELLS = ("system", "kind", "platform_width_mm", *PART_COLUMNS[1:], "note")


def edit(shelf: Shelf, notes: Notes) -> None:
    """Show both tables, and keep what was typed when asked."""
    with st.expander("Change it by hand", icon=":material/edit:"):
        tabs = st.tabs(["Sizes", "Parts"])
        # a shelf that was changed meanwhile begins its tables anew: edits go by row number
        name = f"shelf_{hash(shelf)}"
        with tabs[0]:
            sizes = _table(size_cells(shelf, notes), _size_columns(notes), f"{name}_sizes")
        with tabs[1]:
            parts = _table(part_cells(shelf), _part_columns(notes), f"{name}_parts")
        if st.button("Keep these changes", type="primary"):
            shelf_keep.store(typed(sizes, parts, notes), replace=True)


def _table(rows: Sequence[Cells], columns: Mapping[str, Any], key: str) -> Sequence[Cells]:
    return st.data_editor(
        list(rows),
        key=key,
        num_rows="dynamic",
        hide_index=True,
        width="stretch",
        column_config=dict(columns),
    )


def size_cells(shelf: Shelf, notes: Notes) -> list[Cells]:
    """Sizes as a person types them; one empty row where there is none."""
    rows = [
        _cells(size, SIZE_CELLS)
        | {
            "family": notes.families[size.family].title,
            "lengths_mm": " ".join(f"{length:g}" for length in size.lengths_mm),
        }
        for size in shelf.sizes
    ]
    return rows or [dict.fromkeys(SIZE_CELLS)]


def part_cells(shelf: Shelf) -> list[Cells]:
    """Parts as a person types them; one empty row where there is none."""
    return [_cells(part, PART_CELLS) for part in shelf.parts] or [dict.fromkeys(PART_CELLS)]


def _cells(row: Size | Part, names: Sequence[str]) -> Cells:
    return {name: getattr(row, name) for name in names}


def typed(sizes: Sequence[Cells], parts: Sequence[Cells], notes: Notes) -> ShelfFile:
    """Check what was typed; empty cells and empty rows say nothing."""
    return read_rows(_filled(sizes, "size"), _filled(parts, "part"), notes)


def _filled(rows: Sequence[Cells], kind: str) -> list[tuple[str, Cells]]:
    filled = []
    for number, row in enumerate(rows, 1):
        said = {name: value for name, value in row.items() if value not in (None, "")}
        if "lengths_mm" in said:
            said["lengths_mm"] = split_lengths(str(said["lengths_mm"]))
        if said:
            filled.append((f"{kind} {number}", said))
    return filled


def _size_columns(notes: Notes) -> Mapping[str, Any]:
    column = st.column_config
    titles = [family.title for family in notes.families.values()]
    return {
        "system": column.TextColumn("System", required=True),
        "family": column.SelectboxColumn("Family", options=titles, required=True, width="medium"),
        "size": column.TextColumn("Size", required=True),
        "platform_width_mm": column.NumberColumn("Platform mm", min_value=0.5, max_value=15.0),
        "body_width_mm": column.NumberColumn("Body mm", min_value=0.5, max_value=15.0),
        "lengths_mm": column.TextColumn("Lengths mm", help="With blanks between them: 8 10 12"),
        "screw_thread": column.TextColumn("Screw", help=", ".join(notes.shelf.screws)),
        "index": column.SelectboxColumn("Index", options=["present", "absent", "unknown"]),
        "note": column.TextColumn("Note"),
    }


def _part_columns(notes: Notes) -> Mapping[str, Any]:
    column = st.column_config
    return {
        "system": column.TextColumn("System", required=True),
        "kind": column.SelectboxColumn("Part", options=list(part_kinds(notes)), required=True),
        "platform_width_mm": column.NumberColumn(
            "Platform mm", min_value=0.5, max_value=15.0, help="Empty: it fits every platform."
        ),
        "height_mm": column.NumberColumn("Height mm", min_value=0.0, max_value=15.0),
        "angle_deg": column.NumberColumn("Angle °", min_value=0.0, max_value=60.0),
        "supplier": column.TextColumn("Supplier"),
        "state": column.SelectboxColumn("State", options=list(STATES), required=True),
        "checked_on": column.DateColumn("Checked on"),
        "note": column.TextColumn("Note"),
    }
