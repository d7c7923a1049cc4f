"""What an import would change, and whether the shelf would hold together afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from identify.shelf import Part, Shelf, Size
from identify.shelf_check import RowProblem, ShelfFile

Kind = TypeVar("Kind", Size, Part)


@dataclass(frozen=True, slots=True)
class Change:
    """A shelf as it would be, how many rows that changes, and what speaks against it."""

    shelf: Shelf
    new: int
    changed: int
    same: int
    removed: int
    problems: tuple[RowProblem, ...]

    @property
    def sentence(self) -> str:
        """Say what changes, in one line."""
        counts = (
            (self.new, "new"),
            (self.changed, "changed"),
            (self.removed, "removed"),
            (self.same, "as before"),
        )
        return ", ".join(f"{count} {word}" for count, word in counts if count) or "no rows"


def plan_change(before: Shelf, file: ShelfFile, *, replace: bool = False) -> Change:
    """Lay a file over the shelf: the same size or part is taken from the file, others stay.

    Parameters
    ----------
    replace : bool
        Leave nothing but what the file holds.
    """
    kept = Shelf() if replace else before
    after = Shelf(_over(kept.sizes, file.shelf.sizes), _over(kept.parts, file.shelf.parts))
    old, coming = _rows(before), _rows(file.shelf)
    changed = sum(1 for key, row in coming.items() if key in old and old[key] != row)
    same = sum(1 for key, row in coming.items() if old.get(key) == row)
    return Change(
        shelf=after,
        new=len(coming) - changed - same,
        changed=changed,
        same=same,
        removed=len(old.keys() - _rows(after).keys()),
        # a row that was refused may be the very one another misses: tell that only when all read
        problems=file.problems or tuple(_orphans(after)),
    )


def _over(before: Sequence[Kind], coming: Sequence[Kind]) -> tuple[Kind, ...]:
    rows: dict[Any, Kind] = {row.key: row for row in before}
    rows |= {row.key: row for row in coming}
    return tuple(rows.values())


def _rows(shelf: Shelf) -> dict[Any, Size | Part]:
    rows: list[Size | Part] = [*shelf.sizes, *shelf.parts]
    return {row.key: row for row in rows}


def _orphans(shelf: Shelf) -> list[RowProblem]:
    """Find the parts that fit no size on the shelf."""
    problems = []
    for part in shelf.parts:
        sizes = [size for size in shelf.sizes if size.system.casefold() == part.system.casefold()]
        where = f"{part.system}, {part.kind}"
        if not sizes:
            sentence = f"there is no size of '{part.system}' on the shelf; add one, or correct it."
            problems.append(RowProblem(where, sentence))
        elif not any(part.fits(size.platform_width_mm) for size in sizes):
            problems.append(
                RowProblem(
                    where,
                    f"no size of '{part.system}' has a platform of {part.platform_width_mm:g} mm; "
                    "correct it, or add the size.",
                )
            )
    return problems
