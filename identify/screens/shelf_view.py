"""How a shelf looks: a card for each system, narrow tables, and the size that fits."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import streamlit as st

from features.input_file import BadInput
from identify.ranking import NOT_CONFIRMED
from identify.screens import look
from identify.shelf import Part, Shelf, Size, parts_for
from identify.shelf_store import load_shelf
from identify.shelf_words import checked_text, match_sentence
from identify.size_match import SizeMatch, match_sizes
from identify.words import percent

if TYPE_CHECKING:
    from identify.knowledge import Notes
    from identify.screens.session import Judged

SIZES = ["Size", "Platform mm", "Body mm", "Lengths mm"]
PARTS = ["Part", "Platform mm", "State"]
SHOWN = 4  # sizes after Families; the rest add nothing there
WORTH_A_ROW = 0.005


def system_names(shelf: Shelf) -> list[str]:
    """Return every system once, as it was first written."""
    names: dict[str, str] = {}
    rows: list[Size | Part] = [*shelf.sizes, *shelf.parts]
    for row in rows:
        names.setdefault(row.system.casefold(), row.system)
    return sorted(names.values(), key=str.casefold)


def systems(shelf: Shelf, notes: Notes, today: date) -> None:
    """Show the whole shelf, one card a system."""
    for name in system_names(shelf):
        own = _of_system(shelf, name)
        titles = [notes.families[key].title for key in own.families if key in notes.families]
        with st.container(border=True):
            st.subheader(name, anchor=False)
            look.quiet("; ".join(titles))
            tables(own, today)


def _of_system(shelf: Shelf, name: str) -> Shelf:
    return Shelf(
        tuple(size for size in shelf.sizes if size.system.casefold() == name.casefold()),
        tuple(part for part in shelf.parts if part.system.casefold() == name.casefold()),
    )


def tables(shelf: Shelf, today: date, *, most: int | None = None) -> None:
    """Show sizes and parts beside each other; `most` rows of each where given."""
    sizes = [_size_row(size) for size in shelf.sizes[:most]]
    parts = [_part_row(part, today) for part in shelf.parts[:most]]
    both = [(rows, head) for rows, head in ((sizes, SIZES), (parts, PARTS)) if rows]
    places = st.columns(2, gap="medium") if len(both) > 1 else [st.container()]
    for place, (rows, head) in zip(places, both, strict=False):
        with place:
            look.table(rows, head=head, kind="shelf")
    hidden = len(shelf.sizes) + len(shelf.parts) - len(sizes) - len(parts)
    if hidden:
        look.quiet(f"And {hidden} more.")


def _size_row(size: Size) -> list[str]:
    index = {"present": "index", "absent": "no index"}.get(size.index, "")
    small = ", ".join(text for text in (size.screw_thread, index, size.note) if text)
    lengths = " · ".join(f"{length:g}" for length in size.lengths_mm)
    return [
        f"{size.size}\n{small}",
        _mm(size.platform_width_mm),
        _mm(size.body_width_mm),
        lengths or "–",
    ]


def _part_row(part: Part, today: date) -> list[str]:
    name = part.kind.capitalize()
    if part.height_mm is not None:
        name += f", {part.height_mm:g} mm high"
    if part.angle_deg:
        name += f", {part.angle_deg:g}°"
    small = ", ".join(text for text in (part.supplier, part.note) if text)
    checked = checked_text(part.checked_on, today) if part.checked_on else ""
    platform = "all" if part.platform_width_mm is None else _mm(part.platform_width_mm)
    return [f"{name}\n{small}", platform, f"{part.state}\n{checked}"]


def _mm(value: float | None) -> str:
    return "–" if value is None else f"{value:g}"


def size_that_fits(judged: Judged, notes: Notes) -> None:
    """After the families: which size on the shelf it is, were the likeliest family right."""
    try:
        shelf = load_shelf()
    except BadInput as error:
        st.warning(str(error))
        return
    best = judged.ranking.families[0]
    if not shelf.sizes_of(best.key):
        return  # a practice without this family on its shelf is not told so on every film
    matched = match_sizes(judged.evidence, notes, shelf, best.key)
    st.subheader("Which size on your shelf", anchor=False)
    look.quiet(f"Were it this family ({best.title}):")
    sentence = match_sentence(matched, shelf, best.title)
    st.html(f'<p class="rf-say">{look.escape(sentence)}</p>')
    if matched.counted:
        _sizes(matched, shelf)
    look.quiet(f"{NOT_CONFIRMED}: a size is settled by the part in hand, not by a film.")


def _sizes(matched: SizeMatch, shelf: Shelf) -> None:
    shares = [one for one in matched.shares[:SHOWN] if one.probability >= WORTH_A_ROW]
    look.table(
        [
            [
                f"{one.size.title}\n{_at_hand(shelf, one.size)}",
                f"{one.lengths[0][0]:g} mm long" if one.lengths else "–",
                percent(one.probability),
            ]
            for one in shares
        ],
        head=["Size", "Likeliest length", "Share"],
        kind="points",
    )


def _at_hand(shelf: Shelf, size: Size) -> str:
    own = _of_system(shelf, size.system)
    parts = parts_for(own, size.family, size.platform_width_mm)
    at_hand = list(dict.fromkeys(part.kind for part in parts if part.state == "in stock"))
    return f"at hand: {', '.join(at_hand)}" if at_hand else ""
