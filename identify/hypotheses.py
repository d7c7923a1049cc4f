"""What each hypothesis expects: families and rivals, their priors, facts and states."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from identify.checklist import ChecklistItem
from identify.evidence import Item
from identify.likelihood import Array
from identify.note import Family, NumberFact, StateFact
from identify.ranking import NONE_OF_THESE, NOT_AN_IMPLANT
from identify.state_likelihood import said_under, state_table

if TYPE_CHECKING:
    from identify.knowledge import Notes


def hypotheses_of(notes: Notes) -> dict[str, Family]:
    """Families and rivals in one fixed order, whatever order the files were read in."""
    return dict(sorted(notes.families.items())) | dict(sorted(notes.rivals.items()))


def priors(
    hypotheses: tuple[str, ...], notes: Notes, shares: Mapping[str, float] | None = None
) -> Array:
    """Flat over the families, or by their `shares` of them; the rivals have the checklist's."""
    rival = {
        NONE_OF_THESE: notes.checklist.prior_none,
        NOT_AN_IMPLANT: notes.checklist.prior_not_an_implant,
    }
    left = 1.0 - sum(rival.values())
    if shares is None:
        flat = left / max(len(notes.families), 1)
        return np.array([rival.get(key, flat) for key in hypotheses])
    total = sum(shares[key] for key in notes.families)
    return np.array([rival.get(key) or left * shares[key] / total for key in hypotheses])


def number_facts(entry: ChecklistItem, families: Mapping[str, Family]) -> list[NumberFact | None]:
    """Return the range of one item under each hypothesis; None where its note is silent."""
    facts = [family.facts.get(entry.key) for family in families.values()]
    return [fact if isinstance(fact, NumberFact) else None for fact in facts]


def telling_states(entry: ChecklistItem) -> tuple[str, ...]:
    """Return the states of an item that say something; `silent` ones are equal everywhere."""
    return tuple(state for state in entry.states if state not in entry.silent)


def answer_under(item: Item, entry: ChecklistItem) -> Array:
    """How likely an answer is where each telling state is the true one (S,), up to a factor."""
    states, said = telling_states(entry), str(item.state)
    if item.by == "film" and entry.reader and entry.reader.read_as:
        counted = entry.reader.said(said, item.probability)
        return np.array([counted[state] for state in states])
    return said_under(said, item.probability, states)


def states_under(entry: ChecklistItem, hypotheses: Mapping[str, Family]) -> tuple[Array, Array]:
    """Probability of each state of an item under each hypothesis (H, S), and broadly (S,)."""
    assert isinstance(entry.broad, StateFact)
    facts = [family.facts.get(entry.key) for family in hypotheses.values()]
    rows = [dict(fact.probabilities) if isinstance(fact, StateFact) else None for fact in facts]
    states = telling_states(entry)
    table, base = state_table(states, rows, dict(entry.broad.probabilities))
    # silent states have a share of their own in the notes; among the telling ones it is left out
    return table / table.sum(axis=1, keepdims=True), base / base.sum()
