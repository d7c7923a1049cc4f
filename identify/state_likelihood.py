"""How likely an answer in words is, and the points it gives, where each state is the true one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from identify.likelihood import POINTS_PER_NEPER, Array, floored

TAKEN_AT_ITS_WORD = 2.0  # times as sure as it says, where a table counts how often it is wrong


def state_table(
    states: Sequence[str],
    probabilities: Sequence[dict[str, float] | None],
    broad: dict[str, float],
) -> tuple[Array, Array]:
    """Probability of each state under each hypothesis (H, S), and broadly (S,); rows sum to 1."""
    base = np.array([broad.get(state, 0.0) for state in states])
    rows = [
        base if row is None else floored(np.array([row.get(state, 0.0) for state in states]), base)
        for row in probabilities
    ]
    return np.array(rows).reshape(len(rows), len(states)), base


def state_points(table: Array, base: Array, said: Array) -> Array:
    """Points of an answer; `said` (S,) is how likely it is where each state is the true one."""
    tiny = np.finfo(float).tiny
    ratio = np.maximum(table @ said, tiny) / max(float(base @ said), tiny)
    return np.asarray(POINTS_PER_NEPER * np.log(ratio))


def said_under(
    state: str,
    probability: float,
    states: Sequence[str],
    read_as: Mapping[str, Mapping[str, float]] | None = None,
) -> Array:
    """How likely this answer is where each of `states` is the true one (S,), up to a factor.

    Whoever answers names the true state unless `read_as` says what is read where each is true.
    `probability` is how sure the answer is: one no better than chance says nothing. Where
    `read_as` already counts what is read wrong, half-way to certainty is sure enough.
    """
    if read_as is None:
        sure = np.array([float(name == state) for name in states])
    else:
        sure = np.array([read_as[name].get(state, 0.0) for name in states])
    chance = 1.0 / max(len(states), 2)
    weight = (probability - chance) / (1.0 - chance)
    if read_as is not None:
        weight = min(TAKEN_AT_ITS_WORD * weight, 1.0)
    return np.asarray(weight * sure + (1.0 - weight) * sure.mean())
