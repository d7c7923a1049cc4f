"""What confirmed cases teach: how often families are met, and whether probabilities held.

Pure functions of lists; nothing here ever changes the notes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

# All families together start with as many invented cases as there are families: one each
# (Laplace's rule of succession; from memory).
STARTING_CASES = 1.0
# However many cases a practice has, they count as no more than this: patients come from elsewhere
# too. A choice of ours.
MOST_CASES = 60.0
BINS = 5


@dataclass(frozen=True, slots=True)
class Bin:
    """Cases whose leading family was given about the same probability.

    Attributes
    ----------
    said : float
        Mean stated probability.
    right : float
        Share of them in which it was right.
    low, high : float
        95 % interval of that share (Wilson).
    cases : int
    """

    said: float
    right: float
    low: float
    high: float
    cases: int


def family_shares(truths: Sequence[str], families: Sequence[str]) -> dict[str, float]:
    """Share of each family among the practice's confirmed cases, by a capped Dirichlet.

    Parameters
    ----------
    truths : sequence of str
        The family of every confirmed case; those that are not in `families` are left out.
    families : sequence of str

    Returns
    -------
    A share for every family, none of them 0; they sum to 1.
    """
    counts = Counter(truth for truth in truths if truth in set(families))
    total = sum(counts.values())
    weight = min(1.0, MOST_CASES / total) if total else 0.0
    raw = {family: STARTING_CASES + weight * counts[family] for family in families}
    whole = sum(raw.values())
    return {family: cases / whole for family, cases in raw.items()}


def reliability(
    stated: Sequence[Mapping[str, float]], truths: Sequence[str], bins: int = BINS
) -> tuple[Bin, ...]:
    """Stated probability of the leader against how often it was right, in bins of equal count.

    Parameters
    ----------
    stated : sequence of mapping
        The probabilities of each case, as they stood before it was confirmed.
    truths : sequence of str
        What each case was confirmed as.
    """
    leaders = [max(sorted(chances), key=chances.__getitem__) for chances in stated]
    said = np.array([chances[lead] for chances, lead in zip(stated, leaders, strict=True)])
    right = np.array([lead == truth for lead, truth in zip(leaders, truths, strict=True)])
    order = np.argsort(said, kind="stable")
    parts = np.array_split(order, min(bins, max(len(order), 1)))
    return tuple(_bin(said[part], right[part]) for part in parts if part.size)


def _bin(said: np.ndarray, right: np.ndarray) -> Bin:
    hits = int(right.sum())
    around = stats.binomtest(hits, right.size).proportion_ci(method="wilson")
    return Bin(
        float(said.mean()), hits / right.size, float(around.low), float(around.high), right.size
    )


def mean_log_score(stated: Sequence[Mapping[str, float]], truths: Sequence[str]) -> float:
    """Mean of −ln of the probability that the truth was given; 0 is perfect.

    Raises
    ------
    ValueError
        There is no case to score.
    """
    if not truths:
        raise ValueError("no confirmed case yet; there is nothing to score")
    least = np.finfo(float).tiny
    given = [chances.get(truth, 0.0) for chances, truth in zip(stated, truths, strict=True)]
    return float(-np.mean(np.log(np.maximum(given, least))))
