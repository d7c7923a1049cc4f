"""What tells two families apart, and what the evidence so far says about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from identify.checklist import ChecklistItem
from identify.evidence import Evidence, find_item
from identify.hypotheses import states_under
from identify.likelihood import POINTS_PER_NEPER
from identify.ranking import SHARED_SCALE, Ranking, Row, Support

if TYPE_CHECKING:
    from identify.knowledge import Notes

LEAST_POINTS = 0.5  # an item that parts the two by less parts nothing
MOST_MISSING = 4
NOT_TOLD = {
    "film": "No film tells these two apart.",
    "covered": "While something is seated on it, no film tells these two apart.",
}


@dataclass(frozen=True, slots=True)
class Difference:
    """One item: points by which it speaks for the first more than for the second."""

    item: str
    label: str
    points: float
    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Apart:
    """Two families against each other.

    Attributes
    ----------
    separator : str
        What the notes say parts them; empty where they are not known for look-alikes.
    limit : str
        Where they cannot be told apart, in a sentence.
    differences : tuple of Difference
        What has been seen, the most telling first.
    missing : tuple of str
        Questions still open whose answer would part them, the most telling first.
    points : float
        All together, for the first.
    """

    first: str
    second: str
    separator: str
    limit: str
    differences: tuple[Difference, ...]
    missing: tuple[str, ...]
    points: float

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "first": self.first,
            "second": self.second,
            "separator": self.separator,
            "limit": self.limit,
            "points": round(self.points, 2),
            "differences": [
                {"item": d.item, "points": round(d.points, 2), "first": d.first, "second": d.second}
                for d in self.differences
            ],
            "missing": list(self.missing),
        }


def tell_apart(
    first: str, second: str, evidence: Evidence, notes: Notes, ranking: Ranking
) -> Apart:
    """Hold two hypotheses against each other, item by item."""
    one, two = ranking.find(first), ranking.find(second)
    return Apart(
        first,
        second,
        *_noted(first, second, notes),
        _differences(one, two, notes),
        _missing(first, second, evidence, notes),
        one.points - two.points,
    )


def _noted(first: str, second: str, notes: Notes) -> tuple[str, str]:
    family = notes.families.get(first)
    for alike in family.lookalikes if family else ():
        if alike.key == second:
            return alike.separator, NOT_TOLD.get(alike.inseparable, "")
    return "", ""


def _differences(one: Support, two: Support, notes: Notes) -> tuple[Difference, ...]:
    others: Mapping[str, Row] = {row.item: row for row in two.rows}
    found = []
    for row in one.rows:
        other = others.get(row.item)
        points = row.points - (other.points if other else 0.0)
        if row.item != SHARED_SCALE and abs(points) >= LEAST_POINTS:
            entry = find_item(row.item, notes.checklist)
            label = entry.label if entry else row.item
            said = other.sentence if other else ""
            found.append(Difference(row.item, label, points, row.sentence, said))
    return tuple(sorted(found, key=lambda d: (-abs(d.points), d.item)))


def _missing(first: str, second: str, evidence: Evidence, notes: Notes) -> tuple[str, ...]:
    pair = {key: {**notes.families, **notes.rivals}[key] for key in (first, second)}
    open_items = [
        entry
        for entry in notes.checklist.items.values()
        if entry.question and not entry.is_number and entry.key not in evidence.items
    ]
    ranked = sorted(
        ((_expected_points(entry, pair), entry.question) for entry in open_items),
        key=lambda told: (-told[0], told[1]),
    )
    return tuple(question for points, question in ranked[:MOST_MISSING] if points >= LEAST_POINTS)


def _expected_points(entry: ChecklistItem, pair: Mapping[str, Any]) -> float:
    """Mean points for the true one of the two, whichever that is."""
    table, _ = states_under(entry, pair)
    ratio = np.log(table[0] / table[1])
    return float(POINTS_PER_NEPER * 0.5 * ((table[0] - table[1]) @ ratio))
