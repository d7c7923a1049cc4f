"""What is counted as right, and proper scores of probabilities."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from identify.knowledge import Notes
from tests.benchmarks.readings import Case

KINDS = "internal_index"  # its kinds are not ranked apart before the platform is seen
BINS = 10
TINY = 1e-12


def kinds_of_one(notes: Notes) -> frozenset[str]:
    """Families that count as one on every film."""
    return frozenset(
        key
        for key, family in notes.families.items()
        if family.main_group == KINDS and family.connection[KINDS] > 0.9
    )


def class_of(key: str, notes: Notes) -> str:
    """Return the class a hypothesis is scored in: itself, or the kinds of internal index."""
    return KINDS if key in kinds_of_one(notes) else key


def counts_as(case: Case, notes: Notes) -> set[str]:
    """Classes that are right for this film: its own, and what its note calls inseparable in it."""
    return right_classes(case.family, notes, covered=case.covered)


def right_classes(family: str, notes: Notes, *, covered: bool) -> set[str]:
    """Classes that are right for an implant of a family, by what stands on it."""
    states = {"film", "covered"} if covered else {"film"}
    alike = {a.key for a in notes.families[family].lookalikes if a.inseparable in states}
    return {class_of(key, notes) for key in {family, *alike}}


def by_class(chances: dict[str, float], notes: Notes) -> dict[str, float]:
    """Sum probabilities within each class."""
    classes: dict[str, float] = {}
    for key, chance in chances.items():
        name = class_of(key, notes)
        classes[name] = classes.get(name, 0.0) + chance
    return classes


def best(classes: dict[str, float], number: int) -> list[str]:
    """Return the likeliest classes, families and rivals alike."""
    return sorted(classes, key=lambda name: (-classes[name], name))[:number]


def log_score(classes: dict[str, float], truth: str) -> float:
    """Natural logarithm of the chance given to the truth, with its sign turned; 0 is perfect."""
    return float(-np.log(max(classes.get(truth, 0.0), TINY)))


def brier(classes: dict[str, float], truth: str) -> float:
    """Sum over classes of the squared error; 0 is perfect, 2 the worst."""
    right = sum((chance - (name == truth)) ** 2 for name, chance in classes.items())
    return right + (0.0 if truth in classes else 1.0)


def calibration_error(said: Sequence[float], right: Sequence[bool]) -> float:
    """Mean |said − right| over bins that hold equally many."""
    order = np.argsort(said, kind="stable")
    pairs = np.array([said, right], dtype=float)[:, order]
    bins = np.array_split(pairs, BINS, axis=1)
    gaps = [abs(part[0].mean() - part[1].mean()) * part.shape[1] for part in bins if part.size]
    return float(sum(gaps) / len(said))
