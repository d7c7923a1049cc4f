"""The one SQLite file with the user's own data: opened safely, brought up to date, never lost.

Who keeps tables in it (casebook, shelf) hands over migrations; each is applied once, in order.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

import platformdirs

DATA_VARIABLE = "RADIOFIXTURE_DATA"
FILE_NAME = "radiofixture.db"
WAIT_S = 5.0  # another window may be writing; a write takes milliseconds

Migrations = Mapping[str, Sequence[str]]


class DataProblem(ValueError):  # noqa: N818 - reads as what it is in a sentence
    """The user's data cannot be read or written; one sentence: what, where, the way out."""


def data_folder() -> Path:
    """Where the user's own data lies: ``$RADIOFIXTURE_DATA``, else the system's usual place."""
    named = os.environ.get(DATA_VARIABLE)
    return Path(named) if named else Path(platformdirs.user_data_dir("radiofixture"))


def open_database(migrations: Migrations, folder: Path | None = None) -> sqlite3.Connection:
    """Open the database, make it if there is none, and apply what is missing.

    Parameters
    ----------
    migrations : mapping of str to sequence of str
        For each keeper of tables (``"casebook"``), its scripts from the first version on. Scripts
        are only ever appended; one that was released is never changed.
    folder : Path, optional
        `data_folder()` where left out.

    Raises
    ------
    DataProblem
        The folder cannot be written, the file is no database, or a newer program wrote it.
    """
    place = (folder or data_folder()) / FILE_NAME
    with saying_what_failed(place):
        place.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(
            place, timeout=WAIT_S, isolation_level=None, check_same_thread=False
        )
        try:
            _set_up(connection)
            for keeper, scripts in migrations.items():
                _bring_up_to_date(connection, keeper, scripts, place)
        except BaseException:
            connection.close()
            raise
    return connection


@contextmanager
def saying_what_failed(place: Path) -> Iterator[None]:
    """Turn what SQLite and the disk say into one sentence with a way out."""
    try:
        yield
    except sqlite3.Error as error:
        raise DataProblem(f"{place}: {_sentence(error)}") from error
    except OSError as error:
        raise DataProblem(
            f"{place}: cannot be written ({error.strerror}); free the disk or choose another "
            f"folder with {DATA_VARIABLE}. What was saved before is untouched."
        ) from error


@contextmanager
def writing(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """All of a change or nothing: taken back whole when anything in it fails."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield connection
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _set_up(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA journal_mode = WAL")  # a killed program leaves the file readable
    connection.execute("PRAGMA synchronous = FULL")  # what was said to be saved is on the disk
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA secure_delete = ON")  # what is deleted is overwritten
    connection.execute(
        "CREATE TABLE IF NOT EXISTS versions (keeper TEXT PRIMARY KEY, version INTEGER NOT NULL)"
    )


def _bring_up_to_date(
    connection: sqlite3.Connection, keeper: str, scripts: Sequence[str], place: Path
) -> None:
    if _version(connection, keeper) == len(scripts):
        return
    with writing(connection):  # asked again inside: another window may have been quicker
        version = _version(connection, keeper)
        if version > len(scripts):
            raise DataProblem(
                f"{place}: a newer Radiofixture wrote this {keeper}; open it with that version, or "
                "update this one. Nothing was changed."
            )
        for script in scripts[version:]:
            for statement in _statements(script):
                connection.execute(statement)
        connection.execute(
            "INSERT INTO versions VALUES (?, ?) ON CONFLICT (keeper) "
            "DO UPDATE SET version = excluded.version",
            (keeper, len(scripts)),
        )


def _version(connection: sqlite3.Connection, keeper: str) -> int:
    row = connection.execute("SELECT version FROM versions WHERE keeper = ?", (keeper,)).fetchone()
    return int(row[0]) if row else 0


def _statements(script: str) -> Iterator[str]:
    # executescript would commit on its own, and half a migration could stay
    statement = ""
    for line in script.splitlines():
        statement += line + "\n"
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


def _sentence(error: sqlite3.Error) -> str:
    said = str(error)
    if "full" in said:
        return "the disk is full; free some space and save again. What was saved is untouched."
    if "readonly" in said or "unable to open" in said:
        return (
            "the folder cannot be written; allow writing there or choose another folder with "
            f"{DATA_VARIABLE}. What was saved is untouched."
        )
    if "locked" in said:
        return "another program holds the file; close it and save again. Nothing was lost."
    if "malformed" in said or "not a database" in said:
        return "this file is damaged or no database; move it away and put a backup in its place."
    return f"the data could not be read or written ({said}); save again or restore a backup."
