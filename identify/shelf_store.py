"""The shelf in the practice's database: read whole, changed whole or not at all."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from pathlib import Path

from pydantic import ValidationError

from features.input_file import BadInput
from identify.database import FILE, data_folder, open_database, transaction
from identify.shelf import Part, Shelf, Size
from identify.shelf_change import Change, plan_change
from identify.shelf_check import ShelfFile


def load_shelf(folder: Path | None = None) -> Shelf:
    """Read the practice's shelf; empty where none was written yet.

    Raises
    ------
    BadInput
        The database cannot be used.
    """
    if not ((folder or data_folder()) / FILE).exists():
        return Shelf()  # looking makes nothing
    with open_database(folder) as connection:
        return _read(connection)


def import_shelf(file: ShelfFile, *, replace: bool = False, folder: Path | None = None) -> Change:
    """Take a file over, all of it or, where anything is wrong with it, nothing.

    Returns
    -------
    Change
        What was changed; where it has `problems`, nothing was.
    """
    with open_database(folder) as connection, transaction(connection):
        change = plan_change(_read(connection, lenient=replace), file, replace=replace)
        if not change.problems:
            _write(connection, change.shelf)
    return change


def clear_shelf(folder: Path | None = None) -> None:
    """Take everything off the shelf."""
    with open_database(folder) as connection, transaction(connection):
        _write(connection, Shelf())


def _read(connection: sqlite3.Connection, *, lenient: bool = False) -> Shelf:
    sizes = connection.execute("SELECT row FROM shelf_size ORDER BY system, place").fetchall()
    parts = connection.execute("SELECT row FROM shelf_part ORDER BY system, place").fetchall()
    try:
        return Shelf(
            tuple(Size.model_validate_json(row) for (row,) in sizes),
            tuple(Part.model_validate_json(row) for (row,) in parts),
        )
    except ValidationError:
        if lenient:  # what is being replaced need not be readable
            return Shelf()
        raise BadInput(
            f"{FILE}: a row of the shelf cannot be read; import an earlier export with '--replace'."
        ) from None


def _write(connection: sqlite3.Connection, shelf: Shelf) -> None:
    tables: dict[str, Sequence[Size | Part]] = {
        "shelf_size": shelf.sizes,
        "shelf_part": shelf.parts,
    }
    for table, rows in tables.items():
        connection.execute(f"DELETE FROM {table}")  # noqa: S608 - the two names above
        connection.executemany(
            f"INSERT INTO {table} (system, place, row) VALUES (?, ?, ?)",  # noqa: S608
            [(row.system, place, row.model_dump_json()) for place, row in enumerate(rows)],
        )
