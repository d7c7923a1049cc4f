"""A shelf as a table: one row a size or a part, as any spreadsheet writes it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from typing import Any

from features.input_file import BadInput
from identify.shelf import Part, Shelf, Size

# The documented header, in its order; FORMAT.md explains each column.
SIZE_COLUMNS = (
    "family",
    "size",
    "platform_width_mm",
    "body_width_mm",
    "lengths_mm",
    "screw_thread",
    "index",
)
PART_COLUMNS = ("kind", "height_mm", "angle_deg", "supplier", "state", "checked_on")
COLUMNS = ("row", "system", *SIZE_COLUMNS, *PART_COLUMNS, "note")
MEANT = {
    "row": "add it to the first row, and 'size' or 'part' below it",
    "system": "add it to the first row, and the name you give the system below it",
}
NUMBERS = ("platform_width_mm", "body_width_mm", "height_mm", "angle_deg")
DELIMITERS = (",", ";", "\t")
DECIMAL_COMMA = re.compile(r"^-?\d+,\d+$")

Placed = tuple[str, dict[str, Any]]


def rows_of_csv(text: str, what: str) -> tuple[list[Placed], list[Placed], list[Placed]]:
    """Split a table into sizes, parts, and rows that are neither.

    Semicolons and decimal commas are understood, as spreadsheets write them in many countries.

    Raises
    ------
    BadInput
        The header is not the documented one.
    """
    delimiter = max(DELIMITERS, key=text.partition("\n")[0].count)
    lines = enumerate(_lines(text, delimiter, what), 1)
    header = _header(next(lines, (1, []))[1], what)
    sizes: list[Placed] = []
    parts: list[Placed] = []
    odd: list[Placed] = []
    for number, cells in lines:
        if any(cell.strip() for cell in cells):
            kind, row = _row(header, cells)
            {"size": sizes, "part": parts}.get(kind, odd).append((f"row {number}", row))
    return sizes, parts, odd


def _lines(text: str, delimiter: str, what: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(io.StringIO(text), delimiter=delimiter)
    except csv.Error as error:
        raise BadInput(f"{what}: is no table ({error}); save it again as 'CSV UTF-8'.") from None


def _header(cells: Sequence[str], what: str) -> list[str]:
    header = [cell.strip().casefold() for cell in cells]
    while header and not header[-1]:
        header.pop()
    for name in header:
        if name not in COLUMNS:
            raise BadInput(
                f"{what}: '{name}' is no column of a shelf; the first row must name columns out "
                f"of {', '.join(COLUMNS)}."
            )
        if header.count(name) > 1:
            raise BadInput(f"{what}: the column '{name}' stands twice; remove one of them.")
    for name in ("row", "system"):
        if name not in header:
            raise BadInput(f"{what}: the column '{name}' is missing; {MEANT[name]}.")
    return header


def _row(header: Sequence[str], cells: Sequence[str]) -> tuple[str, dict[str, Any]]:
    row = {name: cell.strip() for name, cell in zip(header, cells, strict=False) if cell.strip()}
    if any(cell.strip() for cell in cells[len(header) :]):
        row["a cell beyond the last column"] = "…"
    kind = row.pop("row", "").casefold()
    return kind, {name: _value(name, cell) for name, cell in row.items()}


def _value(name: str, cell: str) -> Any:
    if name in NUMBERS:
        return _number(cell)
    if name == "lengths_mm":
        return split_lengths(cell)
    return cell


def split_lengths(cell: str) -> list[str]:
    """Split ``8 10,5 12`` into single numbers, still as text."""
    return [_number(one) for one in re.split(r"[\s/;]+", cell) if one]


def _number(cell: str) -> str:
    return cell.replace(",", ".") if DECIMAL_COMMA.match(cell) else cell


def csv_of(shelf: Shelf) -> str:
    """Write a shelf as a table that reads back the same."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")  # RFC 4180
    writer.writerow(COLUMNS)
    for kind, rows in (("size", shelf.sizes), ("part", shelf.parts)):
        writer.writerows(_cells(kind, row) for row in rows)
    return out.getvalue()


def _cells(kind: str, row: Size | Part) -> Iterator[str]:
    said = row.model_dump(mode="json")
    yield kind
    for name in COLUMNS[1:]:
        yield _cell(said.get(name))


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, list):
        return " ".join(_cell(one) for one in value)
    return f"{value:g}" if isinstance(value, float) else str(value)
