"""The practice's own data: one SQLite file in the user's folder, brought up to date on opening.

The tables grow by numbered scripts in `migrations/`: a file that has been shipped is never changed;
what comes later is a new file.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from platformdirs import user_data_path

from features.input_file import BadInput

DATA_VARIABLE = "RADIOFIXTURE_DATA"
FILE = "radiofixture.db"
MIGRATIONS = Path(__file__).parent / "migrations"
PATIENCE_S = 10.0  # another window is writing: a choice of ours, far above any write's time


def data_folder() -> Path:
    """Return the folder of the user's own data; it may not exist yet."""
    named = os.environ.get(DATA_VARIABLE)
    return Path(named) if named else user_data_path("radiofixture", appauthor=False)


@contextmanager
def open_database(folder: Path | None = None) -> Iterator[sqlite3.Connection]:
    """Open the database, made and brought up to date where needed, and close it afterwards.

    Parameters
    ----------
    folder : Path, optional
        Where `radiofixture.db` lies; the user's data folder where left out.

    Raises
    ------
    BadInput
        The file cannot be opened or written, is no database, or comes from a newer program.
    """
    path = (folder or data_folder()) / FILE
    try:
        connection = _connect(path)
    except (OSError, sqlite3.Error) as error:
        raise BadInput(_refusal(path, error)) from None
    try:
        yield connection
    except sqlite3.Error as error:
        raise BadInput(_refusal(path, error)) from None
    finally:
        connection.close()


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Everything inside is written, or nothing."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:  # on a full disk SQLite has taken it back itself
            connection.execute("ROLLBACK")
        raise


def _connect(path: Path) -> sqlite3.Connection:
    path.parent.mkdir(parents=True, exist_ok=True)
    # autocommit: the transactions of this program are its own, written out above
    connection = sqlite3.connect(path, timeout=PATIENCE_S, isolation_level=None)
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        # readers do not wait for a writer; a second window of the app stays usable
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")  # what was saved stays, power or no power
        connection.execute("PRAGMA secure_delete = ON")  # what is deleted is overwritten
        _bring_up_to_date(connection, path)
    except BaseException:
        connection.close()
        raise
    return connection


def _bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    scripts = sorted(MIGRATIONS.glob("*.sql"))
    if _version(connection) == len(scripts):
        return
    with transaction(connection):  # another process may have been quicker: look again inside
        version = _version(connection)
        if version > len(scripts):
            raise BadInput(
                f"{path}: this data was written by a newer Radiofixture; update the program, or "
                f"name another folder in {DATA_VARIABLE}."
            )
        for script in scripts[version:]:
            for statement in _statements(script.read_text(encoding="utf-8")):
                connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {len(scripts)}")


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _statements(script: str) -> Iterator[str]:
    # sqlite3's own executescript would end the transaction that makes a migration whole
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


def _refusal(path: Path, error: OSError | sqlite3.Error) -> str:
    if isinstance(error, sqlite3.OperationalError) and "locked" in str(error):
        return f"{path}: another program keeps this data locked; close it and try again."
    if isinstance(error, sqlite3.DatabaseError) and "not a database" in str(error):
        return f"{path}: this is no database; move the file away, and a new one is made."
    what = getattr(error, "strerror", None) or str(error)
    if "full" in what or "No space" in what:
        return f"{path}: the disk is full; free some space and save again. Nothing was lost."
    return (
        f"{path}: the practice's own data cannot be used ({what}); check the folder, or name "
        f"another in {DATA_VARIABLE}."
    )
