"""A calibration ball: its circle is fitted to the film, the marks only say where to look."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, optimize

from features.edges import CLIPPED, fit_chord_edge
from features.marks import Point
from features.quantity import Measured, NotMeasured, Quantity

Floats = NDArray[np.float64]

RAYS = 180
EDGE_PX = 8.0  # half length of the edge profile
# A film that shows the logarithm of the beam climbs on where steel lets nothing through. Blur is
# light that leaks in before the logarithm is taken and pulls such an edge inward (simulated):
STILL, INWARD = 0.025, 1.08  # of the steepest climb, that of other films; in blurs, by its root
INWARD_STD = 0.11  # in blurs
LAST = 4  # samples before the edge burns out
# of the ball's height: steel has it there, what is less dense or a small ball has not (derived)
NEARLY_WHITE, SMALL_PX = 0.86, 45.0


def ball_diameter(
    pixels: NDArray[np.float32], ends_px: tuple[Point, Point]
) -> tuple[Quantity, Point]:
    """Diameter of a ball in px, and its centre.

    Parameters
    ----------
    pixels : (H, W) array
    ends_px : two (x, y)
        Opposite edges of the ball, a few px off.

    Returns
    -------
    diameter : Measured in px, or NotMeasured
    centre : (x, y)
    """
    (x1, y1), (x2, y2) = ends_px
    centre = np.array([(x1 + x2) / 2, (y1 + y2) / 2])
    radius = math.dist(*ends_px) / 2
    for _ in range(3):
        edge, strength = _edge_on_rays(pixels, centre, radius)
        centre, radius, kept = _circle(centre, edge, strength)
    if kept < 0.45:
        reason = "no round edge stands out where the ball was marked; mark its two sides again"
        return NotMeasured(reason), (float(centre[0]), float(centre[1]))
    offset, std = _chord_offset(pixels, centre, radius)
    if not offset:
        return offset, (float(centre[0]), float(centre[1]))
    diameter = 2 * (radius + offset.value)
    return Measured(diameter, float(2 * np.hypot(offset.std, std)), "px"), (
        float(centre[0]),
        float(centre[1]),
    )


def _angles() -> Floats:
    return np.linspace(0, 2 * np.pi, RAYS, endpoint=False)


def _along_rays(pixels: NDArray[np.float32], centre: Floats, radii: Floats) -> Floats:
    """Grey on (RAYS, R) points; NaN outside the film."""
    x = centre[0] + np.cos(_angles())[:, None] * radii
    y = centre[1] + np.sin(_angles())[:, None] * radii
    return np.asarray(
        ndimage.map_coordinates(pixels, [y, x], order=1, mode="constant", cval=np.nan)
    )


def _edge_on_rays(
    pixels: NDArray[np.float32], centre: Floats, radius: float
) -> tuple[Floats, Floats]:
    """Radius of the fastest fall outward on each ray, and how fast it falls."""
    reach = max(0.15 * radius, 8.0)
    radii = np.arange(max(radius - reach, 1.0), radius + reach, 0.5)
    fall = -ndimage.gaussian_filter1d(_along_rays(pixels, centre, radii), 2.0, axis=1, order=1)
    fall = np.nan_to_num(fall, nan=-1.0)
    best = fall.argmax(axis=1)
    return radii[best], fall[np.arange(RAYS), best]


def _circle(centre: Floats, edge: Floats, strength: Floats) -> tuple[Floats, float, float]:
    """Robust circle through the edge points; the share of rays that lie on it."""
    points = centre + edge[:, None] * np.stack([np.cos(_angles()), np.sin(_angles())], axis=1)
    typical = float(np.median(strength[strength > 0])) if (strength > 0).any() else 0.0
    points = points[strength > 0.3 * typical]

    def misses(p: Floats) -> Floats:
        return np.asarray(np.hypot(points[:, 0] - p[0], points[:, 1] - p[1]) - p[2])

    def slopes(p: Floats) -> Floats:
        outward = (p[:2] - points) / np.maximum(misses(p) + p[2], 1e-9)[:, None]
        return np.column_stack([outward, -np.ones(len(points))])

    start = [centre[0], centre[1], float(np.median(edge))]
    fit = optimize.least_squares(misses, start, jac=slopes, loss="soft_l1", f_scale=0.7)
    kept = float((np.abs(misses(fit.x)) < 2.0).sum() / RAYS)
    return fit.x[:2], float(fit.x[2]), kept


def _chord_offset(
    pixels: NDArray[np.float32], centre: Floats, radius: float
) -> tuple[Quantity, float]:
    """How far outside the circle of fastest change the true rim lies."""
    reach = float(np.clip(0.4 * radius, 4.0, EDGE_PX))
    depth = np.arange(-reach, reach + 1e-9, 0.5)
    rays = _along_rays(pixels, centre, radius - depth)
    clean = rays[np.isfinite(rays).all(axis=1)]
    edges = []
    for quarter in np.array_split(clean, 4):  # the spread over quarters is the honest noise
        if len(quarter) > 10:
            edge = fit_chord_edge(depth, np.median(quarter, axis=0))
            edges += [edge] if edge.offset_px else []
    if len(edges) < 2:
        return NotMeasured("the ball's edge is not clear; mark it again or use another length"), 0.0
    offsets = [edge.offset_px.value for edge in edges if edge.offset_px]
    blur = float(np.median([edge.blur_px for edge in edges]))
    white = float(np.nanmedian(_along_rays(pixels, centre, np.array([0.3 * radius]))))
    climb = max(_last_climb(clean.mean(axis=0), white) - STILL, 0.0) if radius > SMALL_PX else 0.0
    middle = float(np.median(offsets)) + INWARD * blur * math.sqrt(climb)
    std = math.hypot(0.1, INWARD_STD * blur * (climb > 0))
    return Measured(middle, std, "px"), float(np.std(offsets) / np.sqrt(len(offsets)))


def _last_climb(grey: Floats, white: float) -> float:
    """How fast the grey climbs where it burns out or the profile ends, over the fastest."""
    climb = np.gradient(grey)
    last = np.flatnonzero(grey < CLIPPED)[-LAST:]
    reached = grey[last].max(initial=0.0) - grey[0] > NEARLY_WHITE * (white - grey[0])
    return float(climb[last].mean() / climb.max()) if reached and climb.max() > 0 else 0.0
