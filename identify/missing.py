"""What is not known yet of an implant and would speak for a family, were it the right one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from identify.checklist import ChecklistItem
from identify.evidence import Evidence, entry_of, silent_items, telling_items
from identify.hypotheses import hypotheses_of, number_facts, states_under
from identify.likelihood import POINTS_PER_NEPER, Array, ranges_of, shares_of
from identify.note import Family, NumberFact
from identify.trust import FLOOR

if TYPE_CHECKING:
    from identify.knowledge import Notes

WORTH_A_WORD = 1.0  # expected points: less moves the odds by under a quarter
BINS = 240  # over the broad range; finer than any fact is narrow
NOT_LOOKED_AT = "not looked at yet"


@dataclass(frozen=True, slots=True)
class Missing:
    """One item: its points to be expected if the family is the right one, and why it is missing."""

    item: str
    label: str
    points: float
    reason: str


def missing(key: str, evidence: Evidence, notes: Notes) -> tuple[Missing, ...]:
    """List what the note of a hypothesis states and nothing weighed says, most telling first.

    Points expected of an item are the mean of 10·log10(P(answer | family) / P(answer)) over the
    answers that the family gives.
    """
    family = hypotheses_of(notes)[key]
    checklist = notes.checklist
    told = {entry_of(name, checklist).key for name in telling_items(evidence, checklist)}
    reasons = silent_items(evidence, checklist)
    found = [
        Missing(entry.key, entry.label, _expected_points(entry, family), _reason(entry, reasons))
        for entry in checklist.items.values()
        if entry.key in family.facts and entry.key not in told
    ]
    some = [one for one in found if one.points >= WORTH_A_WORD]
    return tuple(sorted(some, key=lambda one: (-one.points, one.item)))


def _reason(entry: ChecklistItem, reasons: dict[str, str]) -> str:
    return reasons.get(entry.key) or reasons.get(entry.ratio) or NOT_LOOKED_AT


def _expected_points(entry: ChecklistItem, family: Family) -> float:
    here, broadly = _shares(entry, family)
    return float(POINTS_PER_NEPER * (here @ np.log(here / broadly)))


def _shares(entry: ChecklistItem, family: Family) -> tuple[Array, Array]:
    """Share of every answer in the family, and broadly."""
    one = {family.key: family}
    if not isinstance(entry.broad, NumberFact):
        table, base = states_under(entry, one)
        return table[0], base
    reach = 3 * entry.broad.edge
    edges = np.linspace(entry.broad.low - reach, entry.broad.high + reach, BINS + 1)
    base = shares_of(edges, entry.broad)[0]
    own = shares_of(edges, ranges_of(number_facts(entry, one), entry.broad))[0]
    tiny = np.finfo(float).tiny
    return (1 - FLOOR) * own + FLOOR * np.maximum(base, tiny), np.maximum(base, tiny)
