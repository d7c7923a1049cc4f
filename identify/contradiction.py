"""What a family would need to be true after all, and what two answers disagree about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from identify.evidence import WIDTH, Evidence, Item, entry_of
from identify.note import Family, NumberFact, StateFact
from identify.ranking import Support
from identify.words import BY, percent

if TYPE_CHECKING:
    from identify.knowledge import Notes

WORTH_NAMING = -3.0  # points: half the odds
UNITS = {"mm": " mm", "deg": "°", "year": " years", "": ""}


def contradictions(support: Support, evidence: Evidence, notes: Notes) -> tuple[str, ...]:
    """Name what would have to be wrong for this family to hold, the heaviest first.

    One sentence each: "would need a 2.0° error in taper".
    """
    family = notes.families.get(support.key)
    if family is None:
        return ()
    rows = sorted(
        (row for row in support.rows if row.points <= WORTH_NAMING and row.item in evidence.items),
        key=lambda row: (row.points, row.item),
    )
    needs = (_needed(row.item, family, evidence, notes) for row in rows)
    return tuple(need for need in needs if need)


def _needed(key: str, family: Family, evidence: Evidence, notes: Notes) -> str:
    item, entry = evidence.items[key], entry_of(key, notes.checklist)
    fact = family.facts.get(entry.key)
    if isinstance(fact, StateFact):
        share = fact.probabilities.get(str(item.state), 0.0)
        seen = {"present": "seen", "absent": "not seen"}.get(str(item.state), str(item.state))
        return f"would need “{entry.label.lower()}: {seen}” to be the {percent(share)} case"
    if not isinstance(fact, NumberFact) or item.value is None:
        return ""
    low, high, unit = fact.low, fact.high, UNITS[entry.unit]
    if key == entry.ratio:
        width = family.facts.get(WIDTH)
        if not isinstance(width, NumberFact):
            return ""
        low, high, unit = low / width.high, high / width.low, ""
    return _error_words(item.value, low, high, unit, entry.label.lower())


def _error_words(value: float, low: float, high: float, unit: str, what: str) -> str:
    off = low - value if value < low else value - high
    if off <= 0:
        return f"would need another {what}: this one is rare there"
    places = 1 if unit in ("°", " years") else 2
    return f"would need a {max(off, 10.0**-places):.{places}f}{unit} error in {what}"


def disagreements(evidence: Evidence, notes: Notes) -> tuple[str, ...]:
    """Name every item on which two answers differ: both of them, and which one is weighed."""
    said = []
    for key, kept in sorted(evidence.items.items()):
        aside = evidence.set_aside.get(key)
        others = (*kept.also, *([aside.item] if aside and aside.item else []))
        label = entry_of(key, notes.checklist).label
        said += [_differ(label, other, kept) for other in others if _is_another(other, kept)]
    return tuple(said)


def _is_another(other: Item, kept: Item) -> bool:
    return other.decided and (other.state is None or other.state != kept.state)


def _differ(label: str, other: Item, kept: Item) -> str:
    return (
        f"{label}: {_said(other.state, other.value)} ({BY[other.by]}) against "
        f"{_said(kept.state, kept.value)} ({BY[kept.by]}); the latter is weighed, "
        f"as {percent(kept.probability)} sure."
    )


def _said(state: str | None, value: float | None) -> str:
    return state if state is not None else f"{value:g}"
