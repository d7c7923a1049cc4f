"""What general learners make of the same readings: naive Bayes and a random forest."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from sklearn.ensemble import RandomForestClassifier
from sklearn.impute import SimpleImputer
from sklearn.naive_bayes import GaussianNB
from sklearn.pipeline import Pipeline, make_pipeline

from identify.evidence import Evidence
from identify.knowledge import Notes

Chances = list[dict[str, float]]


def table_of(evidences: Sequence[Evidence], notes: Notes) -> np.ndarray:
    """One row a film: numbers, how far each state is believed; NaN where nothing was read."""
    return np.array([_row(evidence, notes) for evidence in evidences])


def _row(evidence: Evidence, notes: Notes) -> list[float]:
    row: list[float] = []
    for key, entry in notes.checklist.items.items():
        item = evidence.items.get(key) or evidence.items.get(entry.ratio)
        if entry.is_number:
            row.append(item.value if item and item.value is not None else np.nan)
            continue
        row.extend(
            np.nan if item is None else item.probability * (item.state == state)
            for state in entry.states
        )
    return row


def filled() -> SimpleImputer:
    """Put the median into gaps, and tell where they were."""
    return SimpleImputer(strategy="median", add_indicator=True, keep_empty_features=True)


def learners(seed: int = 0) -> dict[str, Pipeline]:
    """Learners by name; both fill gaps with the median and see where the gaps were."""
    forest = RandomForestClassifier(400, min_samples_leaf=2, random_state=seed)
    return {
        "naive Bayes": make_pipeline(filled(), GaussianNB(var_smoothing=1e-3)),
        "random forest": make_pipeline(filled(), forest),
    }


def learned(
    train: tuple[np.ndarray, Sequence[str]], test: np.ndarray, seed: int = 0
) -> dict[str, Chances]:
    """Chances of every family on each test film, by learner."""
    said: dict[str, Chances] = {}
    for name, learner in learners(seed).items():
        learner.fit(train[0], np.array(train[1]))
        rows = learner.predict_proba(test)
        said[name] = [dict(zip(learner.classes_, row.tolist(), strict=True)) for row in rows]
    return said
