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

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

from features.chord_table import DEEPEST, SHALLOWEST, chord_table
from features.quantity import Measured, NotMeasured, Quantity

Floats = NDArray[np.float64]

CLIPPED = 0.997  # grey at or above this is burnt out and carries no shape
STARTS = (0.05, 0.5)  # of k: between them no false minimum is left (simulated)
LOOSE = 0.002  # grey: how strongly the usual ranges below hold a fit that the film leaves open
USUAL = np.array([0.0, np.log(1.5), 0.0, np.log(0.3), 0.0, 0.0])
USUAL_STD = np.array([6.0, 0.8, 30.0, 2.0, 2.0, 0.03])  # px, log px, grey, log k, grey, per px


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


def chord_profile(depth_px: Floats, params: Floats) -> Floats:
    """Grey along a profile.

    Parameters
    ----------
    depth_px : (N,) array
        Distance inward from where the profile was centred.
    params : (6,) array
        Edge offset (outward, px), blur (px), A, k (px^-½), c0, c1 (per px).
    """
    edge, blur, height, k, c0, c1 = params
    place = np.clip((depth_px + edge) / blur, SHALLOWEST, DEEPEST)
    shape = chord_table().height(math.log(k * math.sqrt(blur)), place)
    return np.asarray(height * shape + c0 + c1 * depth_px)


def _slopes(depth_px: Floats, params: Floats) -> Floats:
    """(N, 6) derivatives of `chord_profile`; those of blur and k by their logarithms."""
    edge, blur, height, k, _, _ = params
    place = np.clip((depth_px + edge) / blur, SHALLOWEST, DEEPEST)
    rim = chord_table().rim(math.log(k * math.sqrt(blur)), place)
    by_place, by_strength = height * rim.by_place, height * rim.by_strength
    by_blur = 0.5 * by_strength - place * by_place
    columns = [by_place / blur, by_blur, rim.height, by_strength, np.ones_like(place), depth_px]
    return np.stack(columns, axis=1)


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
    floor, height = float(np.percentile(seen, 10)), float(np.ptp(seen))
    if height < 0.02:
        return ChordEdge(NotMeasured("no edge stands out here"), start_blur_px, height, 0.0)
    fits = [_fit(depth, seen, (0.3, start_blur_px, height, k, floor, 0.0)) for k in STARTS]
    best = min(fits, key=lambda fit: fit.cost)
    return _as_edge(best, depth)


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """Parameters as in `chord_profile`, the residual square sum, and the slopes there."""

    params: Floats
    cost: float
    slopes: Floats


def _fit(depth: Floats, grey: Floats, start: tuple[float, ...]) -> _Fit:
    """Levenberg-Marquardt with blur and k by their logarithms, which keeps them positive."""
    loose = LOOSE / USUAL_STD

    def misfit(x: Floats) -> Floats:
        return np.concatenate([chord_profile(depth, _plain(x)) - grey, loose * (x - USUAL)])

    def slopes(x: Floats) -> Floats:
        return np.vstack([_slopes(depth, _plain(x)), np.diag(loose)])

    first = np.array(start)
    first[[1, 3]] = np.log(first[[1, 3]])
    found, *_ = optimize.leastsq(
        misfit, first, Dfun=slopes, full_output=True, maxfev=60, ftol=1e-6, xtol=1e-5
    )
    left = misfit(found)[: len(depth)]
    params = _plain(found)
    return _Fit(params, float(np.sum(left**2)), _slopes(depth, params))


def _plain(x: Floats) -> Floats:
    """Blur and k from their logarithms, within what any film can show."""
    params = np.array(x)
    params[1] = min(max(math.exp(min(x[1], 50.0)), 0.2), 12.0)
    params[3] = min(max(math.exp(min(x[3], 50.0)), 0.004), 4.0)
    return params


def _as_edge(fit: _Fit, depth: Floats) -> ChordEdge:
    freedom = max(len(depth) - 6, 1)
    noise = float(np.sqrt(fit.cost / freedom))
    # what the film leaves open is known no better than usual: a weak prior
    information = fit.slopes.T @ fit.slopes / max(noise, 1e-6) ** 2 + np.diag(USUAL_STD**-2.0)
    variance = float(np.linalg.inv(information)[0, 0])
    edge, blur = float(fit.params[0]), float(fit.params[1])
    contrast = float(np.ptp(chord_profile(depth, fit.params) - fit.params[5] * depth))
    if contrast < 4 * noise or abs(edge) > 0.55 * float(np.abs(depth).max()):
        reason = "no clear metal edge was found here"
        return ChordEdge(NotMeasured(reason), blur, contrast, noise)
    std = min(np.sqrt(max(variance, 0.0)) + 0.02, 3.0)
    return ChordEdge(Measured(edge, float(std), "px"), blur, contrast, noise)
