"""For and against a family as one bar: an item a piece, its points its length, its reason beside.

What speaks against lies left of the middle, what speaks for it right: nothing hangs on colour.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from identify.missing import Missing
from identify.ranking import Row
from identify.screens.look import escape
from identify.words import points_text

SHORTEST, LONGEST = 10.0, 40.0  # points for half the width: ten times the odds, and ten thousand
WORTH_A_PIECE = 0.05  # points; less is 0 in every table


def full_width(families: Iterable[Sequence[Row]]) -> float:
    """Points that fill one half of every bar, so that bars beside each other compare."""
    sums = [abs(total) for rows in families for total in sums_of(rows)]
    return min(max([SHORTEST, *sums]), LONGEST)


def sums_of(rows: Sequence[Row]) -> tuple[float, float]:
    """Points of all that speaks for it, and of all that speaks against (negative)."""
    good = sum(row.points for row in rows if row.points > 0)
    return good, sum(row.points for row in rows) - good


def bar(rows: Sequence[Row], full: float, *, kind: str = "") -> str:
    """Draw one bar; `full` points fill one half, and a half that is too long is shown cut."""
    good, bad = sums_of(rows)
    said = f"{points_text(good)} points for it, {points_text(bad)} against"
    halves = "".join(
        f'<div class="{side}{" cut" if abs(total) > full + WORTH_A_PIECE else ""}">'
        f"{_pieces(rows, sign, full)}</div>"
        for side, sign, total in (("against", -1, bad), ("for", 1, good))
    )
    return f'<div class="rf-balance {kind}" role="img" aria-label="{escape(said)}">{halves}</div>'


def _pieces(rows: Sequence[Row], sign: int, full: float) -> str:
    some = [row for row in rows if sign * row.points >= WORTH_A_PIECE]
    pieces, left = [], 100.0
    for row in sorted(some, key=lambda row: -abs(row.points)):
        width = min(100 * abs(row.points) / full, left)  # what is cut off has no place in it
        left -= width
        pieces.append(
            f'<i style="width:{width:.2f}%" '
            f'title="{escape(f"{points_text(row.points)}: {row.sentence}")}"></i>'
        )
    return "".join(pieces)


def bar_with_sums(rows: Sequence[Row], full: float) -> str:
    """Draw a bar, and in words under it what either half comes to."""
    good, bad = sums_of(rows)
    return (
        f'{bar(rows, full)}<p class="rf-balance-sums"><span>against {points_text(bad)}</span>'
        f"<span>for {points_text(good)}</span></p>"
    )


def reasons(rows: Sequence[Row]) -> str:
    """Every item with its sentence, its own piece of the bar and its points, heaviest first."""
    full = max((abs(row.points) for row in rows), default=SHORTEST) or SHORTEST
    lines = "".join(
        f"<tr><td>{escape(row.sentence)}{_alone(row, full)}</td>"
        f"<td>{points_text(row.points)}</td></tr>"
        for row in sorted(rows, key=lambda row: -abs(row.points))
    )
    head = "<tr><th>Reason</th><th>Points</th></tr>"
    return f'<table class="rf-table points">{head}{lines}</table>'


def _alone(row: Row, full: float) -> str:
    return bar([row], full, kind="thin") if abs(row.points) >= WORTH_A_PIECE else ""


def missing_text(found: Sequence[Missing], most: int) -> str:
    """Say what is not known yet, the most telling first, each with why it is missing."""
    if not found:
        return "Nothing is missing that would say much of it."
    named = [f"{one.label.lower()} ({one.reason})" for one in found[:most]]
    more = f"; and {len(found) - most} more" if len(found) > most else ""
    return f"Not known yet: {'; '.join(named)}{more}."
