"""A line of noisy values cut into straight runs: where a wall steps or bends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

WINDOW = 9  # values over which a wall is straight but where it steps: the noise about that
NOISIER = 1.5  # times that noise: grain is as wide as some rows
WORTH = 15.0  # a cut must explain so many variances: far more than noise ever does (simulated)
SHORTEST = 6  # values of a run


def straight_runs(values: Floats, *, least_std: float) -> list[slice]:
    """The runs that leave the least over, each cut paid for.

    Parameters
    ----------
    values : (N,) array
        At even distances.
    least_std : float
        How far values scatter at least: smaller steps are not cut at.
    """
    std = max(least_std, NOISIER * noise(values))
    left = _left_over(values) / std**2 + WORTH
    count = len(values)
    cost, before = np.full(count + 1, np.inf), np.zeros(count + 1, np.intp)
    cost[0] = 0.0
    for end in range(SHORTEST, count + 1):
        ways = cost[:end] + left[:end, end]
        before[end] = int(ways.argmin())
        cost[end] = ways[before[end]]
    cuts = [count]
    while cuts[-1]:
        cuts.append(int(before[cuts[-1]]))
    return [slice(*run) for run in zip(cuts[:0:-1], cuts[-2::-1], strict=True)]


def noise(values: Floats) -> float:
    """Standard deviation about a straight line, the middle one of many short stretches."""
    if len(values) < WINDOW:
        return 0.0
    parts = np.lib.stride_tricks.sliding_window_view(values, WINDOW)[::2]
    place = np.arange(WINDOW) - (WINDOW - 1) / 2
    level = parts - parts.mean(axis=1, keepdims=True)
    off = level - (level @ place / (place @ place))[:, None] * place
    return float(np.median(np.sqrt((off**2).sum(axis=1) / (WINDOW - 2))))


def _left_over(values: Floats) -> Floats:
    """Square sum that the best line through the values from a to b leaves, (a, b)."""
    place = np.arange(len(values)) - len(values) / 2
    level = values - values.mean()  # small numbers: their sums' differences keep their digits
    sums = [
        np.concatenate([[0.0], np.cumsum(each)])
        for each in (place, level, place**2, place * level, level**2)
    ]
    p, v, pp, pv, vv = (each[None, :] - each[:, None] for each in sums)
    many = np.maximum(np.subtract.outer(-np.arange(len(p)), -np.arange(len(p))), 1)
    spread = np.maximum(pp - p * p / many, 1e-9)
    left = np.maximum(vv - v * v / many - (pv - p * v / many) ** 2 / spread, 0.0)
    return np.where(many >= SHORTEST, left, np.inf)
