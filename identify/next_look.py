"""Which observation would help most: expected information gain against effort and harm.

Only questions a person can answer by looking, feeling or asking are offered; never an exposure.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from identify.evidence import Evidence
from identify.hypotheses import hypotheses_of, priors, states_under
from identify.likelihood import POINTS_PER_NEPER, Array, posterior
from identify.note import ChecklistItem
from identify.ranking import Ranking
from identify.weigh import Weights, find_weights

if TYPE_CHECKING:
    from identify.knowledge import Notes

LEAST_GAIN_BITS = 0.005  # below this an answer changes no figure a person would read


@dataclass(frozen=True, slots=True)
class Look:
    """One question worth asking: its expected gain in bits, and why it helps."""

    item: str
    question: str
    gain_bits: float
    why: str

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "item": self.item,
            "question": self.question,
            "gain_bits": round(self.gain_bits, 3),
            "why": self.why,
        }


def next_looks(evidence: Evidence, notes: Notes, ranking: Ranking) -> tuple[Look, ...]:
    """Order the unanswered questions by gain for each unit of effort and harm.

    The gain of an item is H(P) − Σ P(answer)·H(P | answer) over families and rivals, in bits.
    """
    weights = find_weights(evidence, notes)
    looks = []
    for entry in notes.checklist.items.values():
        if _is_open(entry, evidence):
            gain, names = _gain(entry, weights, notes)
            if gain >= LEAST_GAIN_BITS:
                cost = 1 + entry.effort + 2 * entry.harm
                looks.append((gain / cost, _look(entry, gain, names, ranking)))
    looks.sort(key=lambda pair: (-pair[0], pair[1].item))
    return tuple(look for _, look in looks)


def _is_open(entry: ChecklistItem, evidence: Evidence) -> bool:
    if entry.is_number or not entry.question or not entry.asked_of:
        return False
    answers = [evidence.items.get(entry.key)]
    if entry.key in evidence.set_aside:
        answers.append(evidence.set_aside[entry.key].item)
    # the film's "not assessable" leaves the question open; a person's "can't tell" closes it
    return not any(answer and (answer.decided or answer.by != "film") for answer in answers)


def _gain(entry: ChecklistItem, weights: Weights, notes: Notes) -> tuple[float, tuple[str, str]]:
    """Return the gain in bits, and the two hypotheses that the answers part best."""
    table, base = states_under(entry, hypotheses_of(notes))
    prior = priors(weights.hypotheses, notes)
    now = posterior(weights.totals, prior)
    answered = posterior(_totals_after(entry, weights, notes, table, base), prior)
    chances = now @ table
    gain = _entropy(now) - float(chances @ np.array([_entropy(row) for row in answered]))
    return max(gain, 0.0), _parted(table, now, weights.hypotheses)


def _totals_after(
    entry: ChecklistItem, weights: Weights, notes: Notes, table: Array, base: Array
) -> Array:
    """Points (S, H) after each answer; within a `together` group the louder item counts."""
    fresh = POINTS_PER_NEPER * np.log(table / base).T
    group = [
        bool(entry.together) and notes.checklist.items[key].together == entry.together
        if key in notes.checklist.items
        else False
        for key in weights.keys
    ]
    if not any(group):
        return np.asarray(weights.totals + fresh)
    spoken = (weights.points * weights.counted)[np.array(group)].sum(axis=0)
    return np.asarray(weights.totals - spoken + np.where(abs(fresh) > abs(spoken), fresh, spoken))


def _entropy(chances: Array) -> float:
    some = chances[chances > 0]
    return float(-(some * np.log2(some)).sum())


def _parted(table: Array, now: Array, hypotheses: tuple[str, ...]) -> tuple[str, str]:
    """Return the leader, and the rival to it whose answers differ most, weighted by chance."""
    leader = int(np.argmax(now))
    differ = abs(table - table[leader]).sum(axis=1) * now
    return hypotheses[leader], hypotheses[int(np.argmax(differ))]


def _look(entry: ChecklistItem, gain: float, names: tuple[str, str], ranking: Ranking) -> Look:
    one, other = (ranking.find(name).title for name in names)
    apart = f"It would help to tell {one} from {other}." if names[0] != names[1] else entry.help
    return Look(entry.key, entry.question, gain, apart)
