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
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from features.input_file import BadInput
from identify.casebook_tables import MIGRATIONS
from identify.database import FILE_NAME, data_folder, open_database, saying_what_failed, writing
from identify.film_store import FilmStore
from identify.kept_case import KeptCase, case_from_json, case_to_json


class EditedElsewhere(ValueError):  # noqa: N818 - reads as what it is in a sentence
    """Another window saved this case in between; the message says so, nothing was overwritten."""


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
    """Open it once; every method is a whole: done and on the disk, or not done at all."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or data_folder()
        self.films = FilmStore(self.folder)
        self._base = open_database(MIGRATIONS, self.folder)

    def close(self) -> None:
        """Let go of the file."""
        self._base.close()

    def start(self, case: KeptCase, what: str = "case opened", key: str | None = None) -> Saved:
        """Begin a new case."""
        key = key or uuid.uuid4().hex
        with self._whole():
            self._base.execute("INSERT INTO cases (key, made_at) VALUES (?, ?)", (key, _now()))
            step = self._append(key, 1, case, what)
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
        with self._whole():
            last = self._last(key)
            if last.number != after:
                raise EditedElsewhere(
                    f"This case was changed in another window ({last.what}, {last.at} UTC); take "
                    "over what is saved there, or save yours on top. Both stay in the history."
                )
            step = self._append(key, after + 1, case, what)
        return Saved(key, step, case)

    def load(self, key: str, number: int | None = None) -> Saved:
        """Return a case as it stands, or as it stood after a step.

        Raises
        ------
        BadInput
            There is no such case or step.
        """
        with saying_what_failed(self.place):
            row = self._base.execute(
                "SELECT number, at, what, state FROM steps WHERE case_key = ? AND "
                "number = coalesce(?, (SELECT max(number) FROM steps WHERE case_key = ?))",
                (key, number, key),
            ).fetchone()
        if row is None:
            raise BadInput(f"There is no case {key!r} in the casebook; choose one from the list.")
        return Saved(key, Step(*row[:3]), case_from_json(row[3], f"case {key}"))

    def go_back(self, key: str, number: int, *, after: int) -> Saved:
        """Make an earlier step the present one; what came between stays in the history."""
        earlier = self.load(key, number)
        return self.save(key, earlier.case, f"back to step {number}", after=after)

    def history(self, key: str) -> tuple[Step, ...]:
        """Every step, oldest first."""
        with saying_what_failed(self.place):
            rows = self._base.execute(
                "SELECT number, at, what FROM steps WHERE case_key = ? ORDER BY number", (key,)
            ).fetchall()
        return tuple(Step(*row) for row in rows)

    def find(self, text: str = "") -> tuple[Saved, ...]:
        """Return the cases in which every word of `text` occurs, the last changed first."""
        with saying_what_failed(self.place):
            rows = self._base.execute(
                "SELECT case_key, number, at, what, state FROM steps AS s WHERE number = "
                "(SELECT max(number) FROM steps WHERE case_key = s.case_key) "
                "ORDER BY at DESC, case_key"
            ).fetchall()
        cases = (Saved(r[0], Step(*r[1:4]), case_from_json(r[4], f"case {r[0]}")) for r in rows)
        words = text.casefold().split()
        return tuple(c for c in cases if all(word in c.case.searchable for word in words))

    def note_ranking(
        self, key: str, number: int, label: str, ranking: Mapping[str, Any], versions: Sequence[str]
    ) -> None:
        """Keep what was answered after a step, and which versions answered it."""
        with self._whole():
            self._base.execute(
                "INSERT OR REPLACE INTO rankings VALUES (?, ?, ?, ?, ?)",
                (key, number, label, _text(ranking), _text(list(versions))),
            )

    def rankings(self, key: str) -> tuple[dict[str, Any], ...]:
        """Every ranking kept with a case: step, label, ranking, versions."""
        with saying_what_failed(self.place):
            rows = self._base.execute(
                "SELECT number, label, ranking, versions FROM rankings WHERE case_key = ? "
                "ORDER BY number, label",
                (key,),
            ).fetchall()
        return tuple(
            {"step": n, "label": label, "ranking": json.loads(r), "versions": json.loads(v)}
            for n, label, r, v in rows
        )

    def delete(self, key: str) -> None:
        """Delete a case, its history, and the films no other case holds: for good."""
        held = self._films_of(key)
        with self._whole():
            self._base.execute("DELETE FROM cases WHERE key = ?", (key,))  # steps follow
        with saying_what_failed(self.place):
            # the freed pages were overwritten (secure_delete); the log still holds copies
            self._base.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            self._base.execute("VACUUM")
            self._base.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        for name in held - self._all_films():
            self.films.remove(name)

    def back_up(self, place: Path) -> None:
        """Write a copy of the whole database (films lie beside it as files)."""
        with saying_what_failed(place):
            copy = sqlite3.connect(place)
            try:
                self._base.backup(copy)
            finally:
                copy.close()

    @property
    def place(self) -> Path:
        """The database file."""
        return self.folder / FILE_NAME

    def steps_json(self, key: str) -> list[dict[str, Any]]:
        """Every step whole, as an export holds it."""
        with saying_what_failed(self.place):
            rows = self._base.execute(
                "SELECT number, at, what, state FROM steps WHERE case_key = ? ORDER BY number",
                (key,),
            ).fetchall()
        return [{"number": n, "at": at, "what": w, "state": json.loads(s)} for n, at, w, s in rows]

    def take_in(
        self, key: str, steps: Sequence[Mapping[str, Any]], rankings: Sequence[Mapping[str, Any]]
    ) -> None:
        """Put an exported case into the book as it was (see `casefile`)."""
        with self._whole():
            made = steps[0]["at"]
            self._base.execute("INSERT INTO cases (key, made_at) VALUES (?, ?)", (key, made))
            for s in steps:
                row = (key, s["number"], s["at"], s["what"], _text(s["state"]))
                self._base.execute("INSERT INTO steps VALUES (?, ?, ?, ?, ?)", row)
            for r in rankings:
                row = (key, r["step"], r["label"], _text(r["ranking"]), _text(r["versions"]))
                self._base.execute("INSERT INTO rankings VALUES (?, ?, ?, ?, ?)", row)

    def holds(self, key: str) -> bool:
        """Whether there is such a case."""
        with saying_what_failed(self.place):
            query = "SELECT 1 FROM cases WHERE key = ?"
            return self._base.execute(query, (key,)).fetchone() is not None

    @contextmanager
    def _whole(self) -> Iterator[None]:
        with saying_what_failed(self.place), writing(self._base):
            yield

    def _append(self, key: str, number: int, case: KeptCase, what: str) -> Step:
        step = Step(number, _now(), what)
        self._base.execute(
            "INSERT INTO steps VALUES (?, ?, ?, ?, ?)",
            (key, number, step.at, what, case_to_json(case)),
        )
        return step

    def _last(self, key: str) -> Step:
        row = self._base.execute(
            "SELECT number, at, what FROM steps WHERE case_key = ? ORDER BY number DESC LIMIT 1",
            (key,),
        ).fetchone()
        if row is None:
            raise EditedElsewhere(
                "This case was deleted in another window; save it as a new case to keep it."
            )
        return Step(*row)

    def _films_of(self, key: str) -> frozenset[str]:
        query = "SELECT state FROM steps WHERE case_key = ?"
        return self._held(self._base.execute(query, (key,)))

    def _all_films(self) -> frozenset[str]:
        return self._held(self._base.execute("SELECT state FROM steps"))

    def _held(self, rows: Iterable[tuple[str]]) -> frozenset[str]:
        with saying_what_failed(self.place):
            states = [case_from_json(row[0], "the casebook") for row in rows]
        return frozenset().union(*(state.files for state in states))


def _now() -> str:
    return dt.datetime.now(dt.UTC).isoformat(sep=" ", timespec="milliseconds").split("+")[0]


def _text(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, sort_keys=True, allow_nan=False)
