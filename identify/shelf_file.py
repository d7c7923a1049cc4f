"""Shelf files, CSV and TOML: read with every problem named, written so that they read back."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from features.input_file import BadInput
from identify.shelf import Shelf
from identify.shelf_check import MOST_ROWS, RowProblem, ShelfFile, read_rows
from identify.shelf_csv import Placed, csv_of, rows_of_csv

if TYPE_CHECKING:
    from identify.knowledge import Notes

FORMAT = "shelf/1"
MOST_BYTES = 5_000_000  # 20 000 rows are about 2 MB
ENTRIES = ("radiofixture", "note", "size", "part")


def load_shelf_file(path: Path, notes: Notes) -> ShelfFile:
    """Read a shelf file from disk; see `read_shelf_file`."""
    try:
        return read_shelf_file(path.read_bytes(), str(path), notes)
    except FileNotFoundError:
        raise BadInput(f"{path}: there is no such shelf file; check the path.") from None
    except OSError as error:
        raise BadInput(f"{path}: cannot be read ({error.strerror}); check the path.") from None


def read_shelf_file(raw: bytes, name: str, notes: Notes) -> ShelfFile:
    """Read a shelf file; TOML where its name ends so, else CSV.

    Returns
    -------
    ShelfFile
        With one problem for each row that cannot be taken.

    Raises
    ------
    BadInput
        The file as a whole is not a shelf.
    """
    text = _text(raw, name)
    is_toml = name.casefold().endswith(".toml")
    sizes, parts, odd = (_rows_of_toml if is_toml else rows_of_csv)(text, name)
    if len(sizes) + len(parts) + len(odd) > MOST_ROWS:
        raise BadInput(f"{name}: holds more than {MOST_ROWS} rows; split it.")
    read = read_rows(sizes, parts, notes)
    strays = [
        RowProblem(where, "'row' must be 'size' or 'part'; fill in its first column.")
        for where, _ in odd
    ]
    return ShelfFile(read.shelf, tuple(sorted((*read.problems, *strays), key=_place)))


def _place(problem: RowProblem) -> tuple[str, int]:
    word, _, number = problem.where.partition(" ")
    return word, int(number.strip("[]") or 0)


def _text(raw: bytes, name: str) -> str:
    if len(raw) > MOST_BYTES:
        raise BadInput(f"{name}: is far larger than any shelf; choose the .csv or .toml file.")
    if raw.startswith(b"PK"):
        raise BadInput(f"{name}: is a workbook; in the spreadsheet, save it as 'CSV UTF-8'.")
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(
            f"{name}: is not UTF-8 text; in the spreadsheet, save it as 'CSV UTF-8'."
        ) from None
    if not text.strip() or "\0" in text:
        raise BadInput(f"{name}: is empty or no text; choose the .csv or .toml file of a shelf.")
    return text


def _rows_of_toml(text: str, name: str) -> tuple[list[Placed], list[Placed], list[Placed]]:
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # also numbers of thousands of digits
        raise BadInput(f"{name}: this is not TOML ({error}); correct that place.") from None
    for entry in data:
        if entry not in ENTRIES:
            raise BadInput(f"{name}: '{entry}' is not a known entry; remove it.")
    if data.get("radiofixture") != FORMAT:
        raise BadInput(f'{name}: is no shelf; begin it with radiofixture = "{FORMAT}".')
    return _tables(data, "size", name), _tables(data, "part", name), []


def _tables(data: Mapping[str, Any], kind: str, name: str) -> list[Placed]:
    rows = data.get(kind, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise BadInput(f"{name}: '{kind}' must be a list of tables; begin each with [[{kind}]].")
    return [(f"{kind} {number}", row) for number, row in enumerate(rows, 1)]


def shelf_text(shelf: Shelf, name: str) -> str:
    """Write a shelf as the file its name asks for: TOML for .toml, CSV else."""
    return _toml_of(shelf) if name.casefold().endswith(".toml") else csv_of(shelf)


def _toml_of(shelf: Shelf) -> str:
    lines = [f'radiofixture = "{FORMAT}"']
    groups: Sequence[tuple[str, Sequence[Any]]] = (("size", shelf.sizes), ("part", shelf.parts))
    for kind, rows in groups:
        for row in rows:
            said = row.model_dump(exclude_defaults=True)
            lines += ["", f"[[{kind}]]"]
            lines += [f"{key} = {_toml_value(value)}" for key, value in said.items()]
    return "\n".join(lines) + "\n"


def _toml_value(value: Any) -> str:
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)  # a TOML basic string escapes as JSON does
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml_value, value))}]"
    return str(value)
