"""Every film weighed, and what the learners say of it, in one form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from identify.evidence import Evidence
from identify.gathering import gather
from identify.knowledge import Notes
from identify.ranking import NONE_OF_THESE
from identify.weigh import weigh
from tests.benchmarks.learners import learned, table_of
from tests.benchmarks.readings import Case
from tests.benchmarks.scores import class_of, counts_as


@dataclass(frozen=True, slots=True)
class Judged:
    """One film and the chances it was given."""

    case: Case
    chances: dict[str, float]
    groups: dict[str, float]


def evidence_of(case: Case, notes: Notes) -> Evidence:
    """What the film alone gives."""
    return gather(case.reading, case.reading.implants[0].label, {}, notes.checklist)


def judge(case: Case, notes: Notes) -> Judged:
    """Weigh one film."""
    ranking = weigh(evidence_of(case, notes), notes)
    chances = {support.key: support.probability for support in ranking.supports}
    return Judged(case, chances, dict(ranking.groups))


def judge_learners(
    train: Sequence[Case], test: Sequence[Case], notes: Notes
) -> dict[str, list[Judged]]:
    """Train on one set, judge another; groups follow from the families as the notes have them."""
    known = (
        table_of([evidence_of(case, notes) for case in train], notes),
        [c.family for c in train],
    )
    rows = table_of([evidence_of(case, notes) for case in test], notes)
    return {
        name: [
            Judged(case, said, groups_of(said, notes))
            for case, said in zip(test, chances, strict=True)
        ]
        for name, chances in learned(known, rows).items()
    }


def groups_of(chances: dict[str, float], notes: Notes) -> dict[str, float]:
    """Groups as the notes have them for each family."""
    groups: dict[str, float] = {}
    for key, chance in chances.items():
        for group, share in notes.families[key].connection.items():
            groups[group] = groups.get(group, 0.0) + share * chance
    return groups


def strangeness(cases: Sequence[Case], notes: Notes) -> tuple[list[float], list[float]]:
    """Chance of *none of these*: for films whose family was left out, and for all others.

    A family is left out with all that count as one with it on that film, so that no look-alike
    can rightly stand in for it.
    """
    strange = [_without(case, notes) for case in cases]
    at_home = [judge(case, notes).chances[NONE_OF_THESE] for case in cases]
    return strange, at_home


def _without(case: Case, notes: Notes) -> float:
    gone = counts_as(case, notes)
    left = {key: f for key, f in notes.families.items() if class_of(key, notes) not in gone}
    fewer = notes.model_copy(update={"families": left})
    return judge(case, fewer).chances[NONE_OF_THESE]
