"""A claim from the shelf: one row, tested in everything it says."""

from __future__ import annotations

import streamlit as st

from features.input_file import BadInput
from identify.screens import look
from identify.screens.case import Case
from identify.screens.session import remembered
from identify.second_reading import Claim, claim_of_row
from identify.shelf import Shelf, Size
from identify.shelf_store import load_shelf
from identify.shelf_words import size_words

NONE = "none: a family is claimed"
ANY = "not said"


def claim_from_shelf(case: Case) -> Claim | None:
    """Ask which row of the shelf is claimed; None where none is, or the shelf is empty."""
    row = _row(case, _shelf())
    if row is None:
        return None
    length_mm = _length_mm(case, row) if len(row.lengths_mm) > 1 else None
    claim = claim_of_row(row, length_mm)
    look.quiet(f"Tested: {size_words(claim.row or row)}.")
    return claim


def _shelf() -> Shelf:
    try:
        return load_shelf()
    except BadInput as error:
        st.warning(str(error))
        return Shelf()


def _row(case: Case, shelf: Shelf) -> Size | None:
    if not shelf.sizes:
        return None
    titles = {size.title: size for size in shelf.sizes}
    name = f"claimed row {case.chosen}"
    if case.facts.get(name) not in titles:  # taken off the shelf since
        case.facts.pop(name, None)
    title = remembered(
        case, name, st.selectbox, "Claimed size on your shelf", titles, None, placeholder=NONE
    )
    return titles[title] if title else None


def _length_mm(case: Case, row: Size) -> float | None:
    name = f"claimed length {row.title} {case.chosen}"
    chosen: float | None = remembered(
        case,
        name,
        st.selectbox,
        "Claimed length, mm",
        row.lengths_mm,
        None,
        format_func=lambda mm: f"{mm:g}",
        placeholder=ANY,
    )
    return chosen
