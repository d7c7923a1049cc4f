"""Sub-pixel edges of round metal: the chord model.

The beam's path through a cylinder or sphere rises like a square root at the rim, so the
half-height point of its shadow lies inside the true edge. The model below lets the edge sit where
the path begins: grey(d) = c0 + c1·d + A·(1 − exp(−k·√d)) for depth d inside the edge, blurred.
The exponential is Beer-Lambert's law; A, k and the slope are free, so that a linear, a
logarithmic and a gamma rendering of one film give the same edge to first order.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, optimize

from features.quantity import Measured, NotMeasured, Quantity

Floats = NDArray[np.float64]

FINE_PX = 0.1  # step of the grid the model is blurred on
CLIPPED = 0.997  # grey at or above this is burnt out and carries no shape


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
    low, high = depth_px.min() - 4 * blur - 1, depth_px.max() + 4 * blur + 1
    grid = np.arange(low, high, FINE_PX)
    inside = np.sqrt(np.maximum(grid + edge, 0.0))
    metal = height * -np.expm1(-k * inside)
    metal = ndimage.gaussian_filter1d(metal, max(blur, 0.05) / FINE_PX, mode="nearest")
    return np.asarray(np.interp(depth_px, grid, metal) + c0 + c1 * depth_px)


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
    fits = [_fit(depth, seen, (0.3, start_blur_px, height, k, floor, 0.0)) for k in (0.05, 0.5)]
    best = min(fits, key=lambda fit: fit.cost)
    return _as_edge(best, depth)


def _fit(depth: Floats, grey: Floats, start: tuple[float, ...]) -> optimize.OptimizeResult:
    reach = float(np.abs(depth).max())
    low = [-0.6 * reach, 0.3, 0.0, 0.005, -1.0, -0.05]
    high = [0.6 * reach, 0.5 * reach, 30.0, 3.0, 2.0, 0.05]
    first = np.clip(start, np.add(low, 1e-6), np.subtract(high, 1e-6))
    scale = np.array([1.0, 1.0, 0.3, 0.2, 0.1, 0.005])
    return optimize.least_squares(
        lambda p: chord_profile(depth, p) - grey,
        first,
        bounds=(low, high),
        x_scale=scale,
        max_nfev=60,
    )


def _as_edge(fit: optimize.OptimizeResult, depth: Floats) -> ChordEdge:
    freedom = max(len(depth) - 6, 1)
    noise = float(np.sqrt(2 * fit.cost / freedom))
    information = fit.jac.T @ fit.jac + 1e-12 * np.eye(6)
    variance = float(np.linalg.inv(information)[0, 0]) * noise**2
    edge, blur = float(fit.x[0]), float(fit.x[1])
    contrast = float(np.ptp(chord_profile(depth, fit.x) - fit.x[5] * depth))
    if contrast < 4 * noise or abs(edge) > 0.55 * float(np.abs(depth).max()):
        reason = "no clear metal edge was found here"
        return ChordEdge(NotMeasured(reason), blur, contrast, noise)
    std = min(np.sqrt(max(variance, 0.0)) + 0.02, 3.0)
    return ChordEdge(Measured(edge, float(std), "px"), blur, contrast, noise)
