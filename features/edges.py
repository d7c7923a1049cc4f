"""Sub-pixel edges of round metal: the chord model.

The beam's path through a cylinder or sphere rises like a square root at the rim, so the
half-height point of its shadow lies inside the true edge. The model below lets the edge sit where
the path begins: grey(d) = c0 + c1·d + A·(1 − exp(−k·√d)) for depth d inside the edge, blurred.
The exponential is Beer-Lambert's law; A, k and the slope are free, so that a linear, a
logarithmic and a gamma rendering of one film give the same edge to first order.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from features.chord_table import DEEPEST, SHALLOWEST, chord_table
from features.quantity import Measured, NotMeasured, Quantity
from features.shape_fit import Fit, Picture, fit_shape

Floats = NDArray[np.float64]

CLIPPED = 0.997  # grey at or above this is burnt out and carries no shape
# of the edge, px, and of k: from the likeliest of them hardly a false minimum is met (simulated)
START_EDGES, START_STRENGTHS = np.array([-2.0, 0.3, 2.5, 5.0]), (0.05, 0.15, 0.5, 1.0)
# parameters below are the edge (px), log blur (px), log k; then A, c0, c1: what any film can show,
# and what is usual
LOW, HIGH = np.array([-40.0, *np.log([0.2, 0.004])]), np.array([40.0, *np.log([12.0, 4.0])])
USUAL = np.array([0.0, np.log(1.5), np.log(0.3), 0.0, 0.0, 0.0])
USUAL_STD = np.array([6.0, 0.8, 2.0, 30.0, 2.0, 0.03])
LOOSE = 0.002  # grey: how strongly what is usual holds a fit that the film leaves open
SOFTEST_PX = 11.5  # near the limit above: a slope of the grey, not an edge
ENOUGH, MOST_STEPS = 1e-6, 40


@dataclass(frozen=True, slots=True)
class ChordEdge:
    """One fitted edge.

    Attributes
    ----------
    offset_px : Measured in px
        Edge position relative to where the profile was centred, positive outward.
    blur_px : float
        Standard deviation of the blur.
    contrast, noise : float
        Edge height and residual scatter, in grey.
    """

    offset_px: Quantity
    blur_px: float
    contrast: float
    noise: float


def chord_shape(depth_px: Floats, theta: Floats) -> tuple[Floats, Floats]:
    """The rim along a profile, 0 to 1, and its slopes.

    Parameters
    ----------
    depth_px : (N,) array
        Distance inward from where the profile was centred.
    theta : (3,) array
        Edge offset (outward, px), log of the blur (px), log of k (px^-½).

    Returns
    -------
    shape : (N,) array
    slopes : (3, N) array
    """
    edge, log_blur, log_k = theta
    blur = math.exp(log_blur)
    place = np.minimum(np.maximum((depth_px + edge) / blur, SHALLOWEST), DEEPEST)
    rim = chord_table().rim(log_k + 0.5 * log_blur, place)
    by_blur = 0.5 * rim.by_strength - place * rim.by_place
    return rim.height, np.array([rim.by_place / blur, by_blur, rim.by_strength])


def fit_chord_edge(depth_px: Floats, grey: Floats, *, start_blur_px: float = 1.5) -> ChordEdge:
    """Fit the chord model to one averaged profile.

    Parameters
    ----------
    depth_px : (N,) array
        Increasing inward; 0 where a first guess put the edge.
    grey : (N,) array

    Returns
    -------
    ChordEdge
        With `offset_px` NotMeasured when there is no edge there.
    """
    usable = grey < CLIPPED
    if usable.sum() < 10:
        return ChordEdge(NotMeasured("the edge is burnt out"), start_blur_px, 0.0, 0.0)
    depth, seen = depth_px[usable], grey[usable]
    height = float(np.ptp(seen))
    if height < 0.02:
        return ChordEdge(NotMeasured("no edge stands out here"), start_blur_px, height, 0.0)
    picture = Picture(seen, depth, partial(chord_shape, depth), LOW, HIGH, USUAL, LOOSE / USUAL_STD)
    start = _start(depth, seen, math.log(start_blur_px))
    return _as_edge(fit_shape(picture, start, enough=ENOUGH, most=MOST_STEPS), depth)


def _start(depth: Floats, grey: Floats, log_blur: float) -> Floats:
    """The likeliest of a net of edges and strengths."""
    place = np.clip((depth + START_EDGES[:, None]) / math.exp(log_blur), SHALLOWEST, DEEPEST)
    logs = [math.log(k) + 0.5 * log_blur for k in START_STRENGTHS]
    rims = np.array([chord_table().height(log, place.ravel()) for log in logs])
    design = np.ones((len(logs) * len(place), 3, len(depth)))
    design[:, 0], design[:, 2] = rims.reshape(-1, len(depth)), depth
    normal = design @ design.transpose(0, 2, 1) + np.diag((LOOSE / USUAL_STD[3:]) ** 2)
    linear = np.linalg.solve(normal, (design @ grey)[..., None])
    misses = np.sum((grey - (linear.transpose(0, 2, 1) @ design)[:, 0]) ** 2, axis=1)
    strength, edge = divmod(int(misses.argmin()), len(place))
    return np.array([START_EDGES[edge], log_blur, math.log(START_STRENGTHS[strength])])


def _as_edge(fit: Fit, depth: Floats) -> ChordEdge:
    freedom = max(len(depth) - 6, 1)
    noise = float(np.sqrt(fit.left @ fit.left / freedom))
    # what the film leaves open is known no better than usual: a weak prior
    information = fit.slopes @ fit.slopes.T / max(noise, 1e-6) ** 2 + np.diag(USUAL_STD**-2.0)
    variance = float(np.linalg.inv(information)[0, 0])
    edge, blur = float(fit.theta[0]), math.exp(fit.theta[1])
    contrast = float(np.ptp(fit.linear[0] * fit.slopes[len(fit.theta)]))
    far_off = abs(edge) > 0.55 * float(np.abs(depth).max())
    if contrast < 4 * noise or far_off or blur > SOFTEST_PX:
        reason = "no clear metal edge was found here"
        return ChordEdge(NotMeasured(reason), blur, contrast, noise)
    std = min(np.sqrt(max(variance, 0.0)) + 0.02, 3.0)
    return ChordEdge(Measured(edge, float(std), "px"), blur, contrast, noise)
