"""The casebook: every case with everything ever done to it, in the user's own data folder.

A case is a row of steps, and a step is the whole state of the case. Steps are only appended, so
nothing is overwritten, going back is itself a step, and two windows cannot undo each other's work
unnoticed: a step says which one it follows.
"""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
import uuid
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from features.input_file import BadInput
from identify.database import FILE, data_folder, open_database, transaction
from identify.film_store import FilmStore
from identify.kept_case import KeptCase, case_from_json, case_to_json

DELETED = "This case was deleted in another window; save it as a new case to keep it."


class EditedElsewhere(ValueError):  # noqa: N818 - reads as what it is in a sentence
    """Another window saved this case in between; the message says so, nothing was overwritten.

    `deleted`: it did not save but delete it.
    """

    def __init__(self, message: str, *, deleted: bool = False) -> None:
        super().__init__(message)
        self.deleted = deleted


@dataclass(frozen=True, slots=True)
class Step:
    """One entry of a case's history: when (UTC, ISO 8601) and what was done."""

    number: int
    at: str
    what: str


@dataclass(frozen=True, slots=True)
class Saved:
    """A case as it stands."""

    key: str
    step: Step
    case: KeptCase


class Casebook:
    """The cases in one data folder.

    Every method is a whole: done and on the disk, or not done at all; each raises `BadInput` with
    one sentence where the folder cannot be used.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or data_folder()
        self.films = FilmStore(self.folder)

    def start(self, case: KeptCase, what: str = "case opened") -> Saved:
        """Begin a new case."""
        key, step = uuid.uuid4().hex, Step(1, _now(), what)
        with self._writing() as base:
            base.execute("INSERT INTO cases (key, made_at) VALUES (?, ?)", (key, step.at))
            _append(base, key, step, case_to_json(case))
        return Saved(key, step, case)

    def save(self, key: str, case: KeptCase, what: str, *, after: int) -> Saved:
        """Append a step.

        Parameters
        ----------
        after : int
            Number of the step this one was made from.

        Raises
        ------
        EditedElsewhere
            That step is no longer the last one. Save again with `after` the last step to keep both
            in the history, or load the case anew.
        """
        with self._writing() as base:
            last = _last(base, key)
            if last.number != after:
                raise EditedElsewhere(
                    f"This case was changed in another window ({last.what}, "
                    f"{local_time(last.at)}); take "
                    "over what is saved there, or save yours on top. Both stay in the history."
                )
            step = _append(base, key, Step(after + 1, _now(), what), case_to_json(case))
        return Saved(key, step, case)

    def load(self, key: str, number: int | None = None) -> Saved:
        """Return a case as it stands, or as it stood after a step.

        Raises
        ------
        BadInput
            There is no such case or step.
        """
        rows = self._rows(
            "SELECT number, at, what, state FROM steps WHERE case_key = ? AND "
            "number = coalesce(?, (SELECT max(number) FROM steps WHERE case_key = ?))",
            (key, number, key),
        )
        if not rows:
            raise BadInput(f"There is no case {key!r} in the casebook; choose one from the list.")
        return Saved(key, Step(*rows[0][:3]), case_from_json(rows[0][3], f"case {key}"))

    def go_back(self, key: str, number: int, *, after: int) -> Saved:
        """Make an earlier step the present one; what came between stays in the history."""
        earlier = self.load(key, number)
        return self.save(key, earlier.case, f"back to step {number}", after=after)

    def history(self, key: str) -> tuple[Step, ...]:
        """Every step, oldest first."""
        query = "SELECT number, at, what FROM steps WHERE case_key = ? ORDER BY number"
        return tuple(Step(*row) for row in self._rows(query, (key,)))

    def begun(self) -> dict[str, str]:
        """When each case was begun, UTC, by its key."""
        return {str(key): str(at) for key, at in self._rows("SELECT key, made_at FROM cases")}

    def find(self, text: str = "") -> tuple[Saved, ...]:
        """Return the cases in which every word of `text` occurs, the last changed first."""
        rows = self._rows(
            "SELECT case_key, number, at, what, state FROM steps AS s WHERE number = "
            "(SELECT max(number) FROM steps WHERE case_key = s.case_key) ORDER BY at DESC, case_key"
        )
        cases = (Saved(r[0], Step(*r[1:4]), case_from_json(r[4], f"case {r[0]}")) for r in rows)
        words = text.casefold().split()
        return tuple(c for c in cases if all(word in c.case.searchable for word in words))

    def note_ranking(
        self, key: str, number: int, label: str, ranking: Mapping[str, Any], versions: Sequence[str]
    ) -> None:
        """Keep what was answered after a step, and which versions answered it."""
        row = (key, number, label, _text(ranking), _text(list(versions)))
        with self._writing() as base:
            base.execute("INSERT OR REPLACE INTO rankings VALUES (?, ?, ?, ?, ?)", row)

    def rankings(self, key: str) -> tuple[dict[str, Any], ...]:
        """Every ranking kept with a case: step, label, ranking, versions."""
        query = "SELECT number, label, ranking, versions FROM rankings WHERE case_key = ? "
        return tuple(
            {"step": n, "label": label, "ranking": json.loads(r), "versions": json.loads(v)}
            for n, label, r, v in self._rows(query + "ORDER BY number, label", (key,))
        )

    def delete(self, key: str) -> None:
        """Delete a case, its history, and the films no other case holds: for good."""
        held = self._files("WHERE case_key = ?", (key,))
        with self._writing() as base:
            base.execute("DELETE FROM cases WHERE key = ?", (key,))  # its steps go with it
        with open_database(self.folder) as base:
            # freed pages were overwritten (secure_delete); the log still holds copies of them
            for tidying in ("PRAGMA wal_checkpoint(TRUNCATE)", "VACUUM") * 2:
                base.execute(tidying)
        for name in held - self._files():
            self.films.remove(name)

    def back_up(self, place: Path) -> None:
        """Write a copy of the whole database (films lie beside it as files)."""
        with open_database(self.folder) as base, closing(sqlite3.connect(place)) as copy:
            base.backup(copy)

    @property
    def place(self) -> Path:
        """The database file."""
        return self.folder / FILE

    def steps_json(self, key: str) -> list[dict[str, Any]]:
        """Every step whole, as an export holds it."""
        query = "SELECT number, at, what, state FROM steps WHERE case_key = ? ORDER BY number"
        rows = self._rows(query, (key,))
        return [{"number": n, "at": at, "what": w, "state": json.loads(s)} for n, at, w, s in rows]

    def take_in(
        self, key: str, steps: Sequence[Mapping[str, Any]], rankings: Sequence[Mapping[str, Any]]
    ) -> None:
        """Put an exported case into the book as it was (see `casefile`)."""
        with self._writing() as base:
            made = steps[0]["at"]
            base.execute("INSERT INTO cases (key, made_at) VALUES (?, ?)", (key, made))
            for s in steps:
                _append(base, key, Step(s["number"], s["at"], s["what"]), _text(s["state"]))
            for r in rankings:
                row = (key, r["step"], r["label"], _text(r["ranking"]), _text(r["versions"]))
                base.execute("INSERT INTO rankings VALUES (?, ?, ?, ?, ?)", row)

    def holds(self, key: str) -> bool:
        """Whether there is such a case."""
        return bool(self._rows("SELECT 1 FROM cases WHERE key = ?", (key,)))

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with open_database(self.folder) as base, transaction(base):
            yield base

    def _rows(self, query: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        with open_database(self.folder) as base:
            return base.execute(query, values).fetchall()

    def _files(self, where: str = "", values: Sequence[Any] = ()) -> frozenset[str]:
        rows = self._rows(f"SELECT state FROM steps {where}", values)  # noqa: S608 - our own words
        states = (case_from_json(row[0], "the casebook") for row in rows)
        return frozenset().union(*(state.files for state in states))


def _append(base: sqlite3.Connection, key: str, step: Step, state: str) -> Step:
    row = (key, step.number, step.at, step.what, state)
    base.execute("INSERT INTO steps VALUES (?, ?, ?, ?, ?)", row)
    return step


def _last(base: sqlite3.Connection, key: str) -> Step:
    query = "SELECT number, at, what FROM steps WHERE case_key = ? ORDER BY number DESC LIMIT 1"
    row = base.execute(query, (key,)).fetchone()
    if row is None:
        raise EditedElsewhere(DELETED, deleted=True)
    return Step(*row)


def _now() -> str:
    return dt.datetime.now(dt.UTC).isoformat(sep=" ", timespec="milliseconds").split("+")[0]


def local_time(at: str) -> str:
    """Return a step's time as a clock here shows it, to the minute."""
    moment = dt.datetime.fromisoformat(at).replace(tzinfo=dt.UTC).astimezone()
    return moment.strftime("%d %B %Y, %H:%M")


def _text(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, sort_keys=True, allow_nan=False)
