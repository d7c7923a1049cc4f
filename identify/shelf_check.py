"""Rows of a shelf file turned into sizes and parts, each with its own complaint."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from features.input_file import BadInput, check
from identify.shelf import Part, Shelf, Size

if TYPE_CHECKING:
    from identify.knowledge import Notes

MOST_ROWS = 20_000  # far above any practice's shelf; keeps a wrong file from filling the memory
Row = Mapping[str, Any]
Kind = TypeVar("Kind", Size, Part)


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What cannot be taken: where it stands ("row 7"), and a sentence with the way out."""

    where: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.where}: {self.sentence}"


@dataclass(frozen=True, slots=True)
class ShelfFile:
    """What a file says, and everything that is wrong with it."""

    shelf: Shelf
    problems: tuple[RowProblem, ...] = ()


def read_rows(
    sizes: Iterable[tuple[str, Row]], parts: Iterable[tuple[str, Row]], notes: Notes
) -> ShelfFile:
    """Check every row, and go on after a bad one so that all problems are told at once.

    Parameters
    ----------
    sizes, parts : pairs of (where, row)
        `where` names the row to a person: "row 7".
    """
    problems: list[RowProblem] = []
    good_sizes = _checked(sizes, lambda row, where: _size(row, where, notes), problems)
    good_parts = _checked(parts, lambda row, where: _part(row, where, notes), problems)
    return ShelfFile(Shelf(good_sizes, good_parts), tuple(problems))


def _checked(
    rows: Iterable[tuple[str, Row]],
    make: Callable[[Row, str], Kind],
    problems: list[RowProblem],
) -> tuple[Kind, ...]:
    good: dict[tuple[Any, ...], tuple[str, Kind]] = {}
    for where, row in rows:
        try:
            made = make(row, where)
        except BadInput as error:
            problems.append(RowProblem(where, str(error).removeprefix(f"{where}: ")))
            continue
        if made.key in good:
            first = good[made.key][0]
            problems.append(RowProblem(where, f"names the same as {first}; remove one of the two."))
        else:
            good[made.key] = where, made
    return tuple(made for _, made in good.values())


def _size(row: Row, where: str, notes: Notes) -> Size:
    size = check(Size, dict(row), where)
    return size.model_copy(update={"family": _family_key(size.family, where, notes)})


def _family_key(given: str, where: str, notes: Notes) -> str:
    """Find a family by its key or its title, whatever the capitals."""
    names = {key: key for key in notes.families}
    names |= {family.title.casefold(): key for key, family in notes.families.items()}
    if given.casefold() in names:
        return names[given.casefold()]
    raise BadInput(
        f"{where}: 'family' is '{given}', which no note describes{_nearest(given, names)}."
    )


def _part(row: Row, where: str, notes: Notes) -> Part:
    part = check(Part, dict(row), where)
    kinds = part_kinds(notes)
    if part.kind.casefold() not in kinds:
        near = _nearest(part.kind, {kind: kind for kind in kinds})
        raise BadInput(f"{where}: 'kind' is '{part.kind}', which is no known part{near}.")
    return part.model_copy(update={"kind": part.kind.casefold()})


def part_kinds(notes: Notes) -> tuple[str, ...]:
    """All kinds of part: those that restorations ask for, and those shelf.toml adds."""
    asked_for = {kind for row in notes.rules.parts for kind in row.kinds}
    return tuple(sorted(asked_for | set(notes.shelf.parts.kinds)))


def _nearest(given: str, names: Mapping[str, str]) -> str:
    near = difflib.get_close_matches(given.casefold(), names, n=1)
    if near:
        return f"; write '{names[near[0]]}' if that is meant"
    return f"; use one of {', '.join(sorted(set(names.values())))}"
