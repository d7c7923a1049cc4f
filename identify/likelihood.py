"""How well a value fits a fact: densities, soft answers, and the error that lengths share.

All points are 10·log10 of a likelihood ratio against the broad expectation (I. J. Good,
Probability and the Weighing of Evidence, 1950; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from identify.trust import AS_STATED, FLOOR, Trust

if TYPE_CHECKING:
    from identify.knowledge import NumberFact

Array = NDArray[np.float64]

POINTS_PER_NEPER = 10.0 / np.log(10.0)
ROOT_2PI = np.sqrt(2.0 * np.pi)
LEAST_STD = 1e-9  # keeps an exact value from dividing by nothing
SCALE_NODES = 41
SCALE_REACH = 4.5  # standard deviations; beyond lies 7e-6 of the mass
# The second factor is a percent or two wide, far narrower than any fact: few nodes are enough.
AXIAL_NODES = 5
AXIAL_REACH = 2.5
WIDTH_NODES = 160
WIDTH_REACH = 3.0  # shoulders' standard deviations; beyond lies next to nothing


@dataclass(frozen=True, slots=True)
class Shared:
    """Quadrature over the factors that multiply lengths of a film together.

    Attributes
    ----------
    factors : (K,) array
        True length across the axis = length as read × factor.
    axial : (K,) array
        The same along the axis, which the tilt of the beam stretches or shortens too.
    log_weights : (H, K) array
        Log prior mass at each node under each hypothesis; rows sum to 1 after exp.
    broad_log_weights : (K,) array
        The same under the broad expectation.
    """

    factors: Array
    axial: Array
    log_weights: Array
    broad_log_weights: Array

    def of(self, *, along_axis: bool) -> Array:
        """Return the factors of a length, by its direction."""
        return self.axial if along_axis else self.factors


class Range(Protocol):
    """A number fact, or many of them as arrays."""

    @property
    def low(self) -> float | Array: ...  # noqa: D102 - see NumberFact
    @property
    def high(self) -> float | Array: ...  # noqa: D102
    @property
    def edge(self) -> float | Array: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Ranges:
    """Number facts of all hypotheses, (H, 1) each, to be reckoned at one stroke."""

    low: Array
    high: Array
    edge: Array


def ranges_of(facts: Sequence[NumberFact | None], broad: NumberFact) -> Ranges:
    """Stack facts; where a hypothesis has none, `broad` stands in."""
    full = [fact or broad for fact in facts]
    low, high, edge = (
        np.array([getattr(fact, name) for fact in full], dtype=float).reshape(-1, 1)
        for name in ("low", "high", "edge")
    )
    return Ranges(low, high, edge)


def fact_density(x: Array, std: Array, fact: Range) -> Array:
    """Density of reading `x` ± `std` where the true value follows `fact`.

    The fact is flat on [low, high] with half-Gaussian shoulders of std `edge`; its convolution
    with the reading's Gaussian is closed: a difference of normal integrals for the flat part, and
    for each shoulder the product of two Gaussians cut at its end. Shapes broadcast.
    """
    std = np.maximum(std, LEAST_STD)
    edge = np.maximum(fact.edge, LEAST_STD)
    both = np.hypot(std, edge)
    flat = ndtr((x - fact.low) / std) - ndtr((x - fact.high) / std)
    lower = _shoulder(x - fact.low, both) * ndtr(edge * (fact.low - x) / (std * both))
    upper = _shoulder(x - fact.high, both) * ndtr(edge * (x - fact.high) / (std * both))
    mass = fact.high - fact.low + ROOT_2PI * edge
    return np.asarray((flat + ROOT_2PI * edge * (lower + upper)) / mass)


def shares_of(edges: Array, fact: Range) -> Array:
    """Share of a fact between consecutive `edges`, (1 or H, bins); the outermost reach on."""
    edge = np.maximum(fact.edge, LEAST_STD)
    mass = fact.high - fact.low + ROOT_2PI * edge
    below = ROOT_2PI * edge * ndtr(np.minimum(edges - fact.low, 0.0) / edge)
    flat = np.clip(edges, fact.low, fact.high) - fact.low
    above = ROOT_2PI * edge * (ndtr(np.maximum(edges - fact.high, 0.0) / edge) - 0.5)
    reached = np.atleast_2d((below + flat + above) / mass)
    reached[:, 0], reached[:, -1] = 0.0, 1.0
    return np.asarray(np.diff(reached, axis=1))


def _shoulder(distance: Array, std: Array) -> Array:
    return np.asarray(np.exp(-0.5 * (distance / std) ** 2) / (ROOT_2PI * std))


def scale_nodes(rel_std: float, hypotheses: int, axial_rel_std: float = 0.0) -> Shared:
    """Nodes for a scale that is right within `rel_std` (relative, k = 1), the same for all.

    `axial_rel_std` is that of the second factor, on lengths along the axis only.
    """
    factors, logs = _normal_nodes(rel_std, SCALE_NODES, SCALE_REACH)
    plain = Shared(factors, factors, np.tile(logs, (hypotheses, 1)), logs)
    return _with_axial(plain, axial_rel_std)


def _normal_nodes(rel_std: float, number: int, reach: float) -> tuple[Array, Array]:
    z = np.linspace(-reach, reach, number) if rel_std > 0 else np.zeros(1)
    factors = 1.0 + rel_std * z
    z, factors = z[factors > 0], factors[factors > 0]
    return factors, _log_normalised(-0.5 * z**2)


def _with_axial(shared: Shared, axial_rel_std: float) -> Shared:
    """Every node of the scale with every node of the second factor, which knows nothing of it."""
    if axial_rel_std <= 0:
        return shared
    stretch, logs = _normal_nodes(axial_rel_std, AXIAL_NODES, AXIAL_REACH)
    factors = np.repeat(shared.factors, stretch.size)
    return Shared(
        factors,
        factors * np.tile(stretch, shared.factors.size),
        np.repeat(shared.log_weights, stretch.size, axis=1) + np.tile(logs, shared.factors.size),
        np.repeat(shared.broad_log_weights, stretch.size) + np.tile(logs, shared.factors.size),
    )


def width_nodes(
    broad: NumberFact, width_facts: Sequence[NumberFact | None], axial_rel_std: float = 0.0
) -> Shared:
    """Nodes for a film without a scale: the unknown width itself, in mm.

    Under a hypothesis it follows that hypothesis's own fact about the width, so that one body's
    ratios meet one body's sizes; elsewhere it follows the broad expectation.
    """
    least = max(broad.low - WIDTH_REACH * broad.edge, broad.low / 4)
    widths = np.geomspace(least, broad.high + WIDTH_REACH * broad.edge, WIDTH_NODES)
    base = _width_mass(widths, broad)
    rows = [
        base if fact is None else floored(_width_mass(widths, fact), base) for fact in width_facts
    ]
    tiny = np.finfo(float).tiny
    logs = np.log(np.maximum(np.array(rows).reshape(len(rows), WIDTH_NODES), tiny))
    plain = Shared(widths, widths, logs, np.log(np.maximum(base, tiny)))
    return _with_axial(plain, axial_rel_std)


def _width_mass(widths: Array, fact: NumberFact) -> Array:
    # dw = w·dlog(w) on nodes evenly spaced in log(w)
    mass = fact_density(widths, np.zeros(1), fact) * widths
    total = float(mass.sum())
    return np.asarray(mass / total) if total > 0 else mass


def number_terms(
    value: float,
    std: float,
    facts: Sequence[NumberFact | None],
    broad: NumberFact,
    factors: Array,
    trust: Trust = AS_STATED,
) -> tuple[Array, Array]:
    """Log density of one reading at every shared factor, err how it may (`trust`).

    Returns
    -------
    (H, K) array under each hypothesis, (K,) array under the broad expectation. A hypothesis
    without a fact has the broad row, so that it weighs exactly 0.
    """
    x, spread = value * factors, std * factors
    base = _read_density(x, spread, broad, trust)
    known = np.array([fact is not None for fact in facts]).reshape(-1, 1)
    fitted = _read_density(x, spread, ranges_of(facts, broad), trust)
    fitted = floored(fitted, base, trust.astray)
    rows = np.where(known, fitted, base)
    # `factors` turns a density over true lengths into one over lengths as read
    tiny = np.finfo(float).tiny
    logs = np.log(np.maximum(rows * factors, tiny))
    return logs, np.log(np.maximum(base * factors, tiny))


def _read_density(x: Array, std: Array, fact: Range, trust: Trust) -> Array:
    density = fact_density(x, std, fact)
    if not trust.sharp:
        return density
    sharply = fact_density(x, trust.narrow * std, fact)
    return trust.sharp * sharply + (1 - trust.sharp) * density


def floored(fitted: Array, base: Array, share: float = FLOOR) -> Array:
    """Mix in what is broadly expected, for the share of readings that are of something else."""
    return (1 - share) * fitted + share * base


def joint_points(terms: Array, broad_terms: Array, shared: Shared) -> Array:
    """Points of several readings together, the shared factor integrated out.

    Parameters
    ----------
    terms : (H, K) array
        Sum over the readings of their log densities under each hypothesis.
    broad_terms : (H, K) or (K,) array
        The same readings under the broad expectation.
    """
    fitted = _log_sum(terms + shared.log_weights)
    broadly = _log_sum(broad_terms + shared.broad_log_weights)
    return np.asarray(POINTS_PER_NEPER * (fitted - broadly))


def posterior(points: Array, priors: Array) -> Array:
    """Probabilities from points and priors; last axis runs over the hypotheses, sums to 1."""
    with np.errstate(divide="ignore"):  # a prior of 0 stays 0
        logs = points / POINTS_PER_NEPER + np.log(priors)
    unscaled = np.exp(logs - logs.max(axis=-1, keepdims=True))
    return np.asarray(unscaled / unscaled.sum(axis=-1, keepdims=True))


def _log_sum(logs: Array) -> Array:
    top = logs.max(axis=-1, keepdims=True)
    return np.asarray((top + np.log(np.exp(logs - top).sum(axis=-1, keepdims=True)))[..., 0])


def _log_normalised(logs: Array) -> Array:
    return np.asarray(logs - _log_sum(logs))
