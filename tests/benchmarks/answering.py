"""How accuracy grows with answers: the questions the program asks, answered as the truth would."""

from __future__ import annotations

import json
import zlib
from collections.abc import Sequence
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


def answered(
    cases: Sequence[Case], notes: Notes, folder: Path, most: int
) -> list[tuple[float, float, float]]:
    """Family first, group right and log score after 0, 1 … `most` answers.

    Answers come from the film's truth; what only the mouth shows is drawn from the note of the
    true family, with one answer in twenty wrong.
    """
    films = [_one(case, notes, folder, most) for case in cases]
    return [tuple(map(float, row)) for row in np.mean(films, axis=0)]


def _one(case: Case, notes: Notes, folder: Path, most: int) -> list[tuple[float, float, float]]:
    truth = json.loads((folder / f"{case.stem}.truth.json").read_text(encoding="utf-8"))
    rng = np.random.default_rng(zlib.crc32(case.stem.encode()))
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
            evidence = _with(evidence, asked[0], _answer(asked[0], case, truth, notes, rng), notes)
    return scores


def _answer(
    key: str, case: Case, truth: dict[str, Any], notes: Notes, rng: np.random.Generator
) -> str:
    entry, found = notes.checklist.items[key], truth["findings"].get(key)
    states = [state for state in entry.states if state not in entry.silent]
    if rng.uniform() > SURE:
        return str(rng.choice(states))
    if found is not None:
        return "present" if found["there"] and found["detectable"] else "absent"
    if truth["forms"].get(key) in entry.states:
        return str(truth["forms"][key])
    fact = notes.families[case.family].facts.get(key)
    if not isinstance(fact, StateFact):
        return "can't tell"
    shares = np.array([fact.probabilities[state] for state in states])
    return str(rng.choice(states, p=shares / shares.sum()))


def _with(evidence: Evidence, key: str, state: str, notes: Notes) -> Evidence:
    by = notes.checklist.items[key].asked_of[0]
    item = Item(state=state, probability=SURE, by=by)
    return evidence.model_copy(update={"items": {**evidence.items, key: item}})
