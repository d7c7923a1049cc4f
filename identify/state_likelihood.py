"""How likely an answer in words is, and the points it gives, where each state is the true one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from identify.likelihood import POINTS_PER_NEPER, Array, floored


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


def said_under(state: str, probability: float, states: Sequence[str]) -> Array:
    """How likely this answer is where each of `states` is the true one (S,), up to a factor.

    Whoever answers names the true state; `probability` is how sure the answer is: one no better
    than chance says nothing.
    """
    sure = np.array([float(name == state) for name in states])
    chance = 1.0 / max(len(states), 2)
    weight = (probability - chance) / (1.0 - chance)
    return np.asarray(weight * sure + (1.0 - weight) * sure.mean())
