"""How accuracy grows with answers: the questions the program asks, answered as the truth would."""

from __future__ import annotations

import json
import zlib
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from identify.evidence import Evidence, Item
from identify.knowledge import Notes
from identify.next_look import next_looks
from identify.note import StateFact
from identify.weigh import weigh
from tests.benchmarks.judging import evidence_of
from tests.benchmarks.readings import Case
from tests.benchmarks.scores import best, by_class, class_of, counts_as, log_score

SURE = 0.95  # a person who looks is right this often, and says so
INDEXED = ("external_index", "internal_index")
# what parts sit on, by what the groups are called for; parts may sit on a cone's rim as well
RIMS = frozenset({"flat", "bevel", "sloping shoulder"})
SEATS = {
    "external_index": RIMS,
    "internal_index": RIMS,
    "no_index": RIMS,
    "cone": RIMS | {"cone"},
    "self_locking": RIMS | {"cone"},
    "one_piece": frozenset({"no joint"}),
}


def answered(
    cases: Sequence[Case], notes: Notes, folder: Path, most: int
) -> list[tuple[float, float, float]]:
    """Family first, group right and log score after 0, 1 … `most` answers.

    Answers come from the film's truth; what only the mouth shows is drawn from the note of the
    true family among what the connection of this very body allows; one answer in twenty is a
    guess.
    """
    films = [_one(case, notes, folder, most) for case in cases]
    return [tuple(map(float, row)) for row in np.mean(films, axis=0)]


def _one(case: Case, notes: Notes, folder: Path, most: int) -> list[tuple[float, float, float]]:
    truth = json.loads((folder / f"{case.stem}.truth.json").read_text(encoding="utf-8"))
    rng = np.random.default_rng(zlib.crc32(case.stem.encode()))
    body = _InMouth(case, notes, bool(rng.uniform() < _indexed(case, notes)))
    evidence = evidence_of(case, notes)
    scores = []
    for _ in range(most + 1):
        ranking = weigh(evidence, notes)
        classes = by_class({s.key: s.probability for s in ranking.supports}, notes)
        right = best(classes, 1)[0] in counts_as(case, notes)
        group = max(ranking.groups, key=ranking.groups.__getitem__) == case.group
        scores.append((right, group, log_score(classes, class_of(case.family, notes))))
        looks = [look for look in next_looks(evidence, notes, ranking) if look.kind == "item"]
        asked = [look.item for look in looks if not notes.checklist.items[look.item].is_number]
        if asked:
            evidence = _with(evidence, asked[0], _answer(asked[0], body, truth, rng), notes)
    return scores


def _indexed(case: Case, notes: Notes) -> float:
    """Chance that this body has an index; of a cone, what its family's other kinds leave of it."""
    if case.group != "cone":
        return float(case.group in INDEXED)
    family = notes.families[case.family]
    fact, shares = family.facts["index"], family.connection
    assert isinstance(fact, StateFact)
    left = fact.probabilities["present"] - sum(shares.get(group, 0.0) for group in INDEXED)
    return float(np.clip(left / shares["cone"], 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class _InMouth:
    """What a person sees who looks onto the body of one film."""

    case: Case
    notes: Notes
    indexed: bool

    def shares(self, key: str) -> dict[str, float]:
        """Chance of each state of what only the mouth shows; nothing of what nobody can tell."""
        fact = self.notes.families[self.case.family].facts.get(key)
        if not isinstance(fact, StateFact):
            return {}
        left = self._left_open(key)
        shares = fact.probabilities.items()
        return {state: share for state, share in shares if left is None or state in left}

    def _left_open(self, key: str) -> Collection[str] | None:
        """States that the body's connection leaves open; None where it decides nothing."""
        if key == "index":
            return ["present" if self.indexed else "absent"]
        if key == "index_side":
            side = "outside" if self.case.group == "external_index" else "inside"
            return [side] if self.indexed else []
        if key == "index_shape":
            every = self.notes.checklist.items[key].states
            return [state for state in every if (state != "none") == self.indexed]
        return SEATS.get(str(self.case.group)) if key == "platform_shape" else None


def _answer(key: str, body: _InMouth, truth: dict[str, Any], rng: np.random.Generator) -> str:
    entry, found = body.notes.checklist.items[key], truth["findings"].get(key)
    states = [state for state in entry.states if state not in entry.silent]
    if rng.uniform() > SURE:
        return str(rng.choice(states))
    if found is not None:
        return "present" if found["there"] and found["detectable"] else "absent"
    if truth["forms"].get(key) in entry.states:
        return str(truth["forms"][key])
    shares = body.shares(key)
    if not shares:
        return "can't tell"
    chances = np.array(list(shares.values()))
    return str(rng.choice(list(shares), p=chances / chances.sum()))


def _with(evidence: Evidence, key: str, state: str, notes: Notes) -> Evidence:
    by = notes.checklist.items[key].asked_of[0]
    item = Item(state=state, probability=SURE, by=by)
    return evidence.model_copy(update={"items": {**evidence.items, key: item}})
