"""The two walls of the implant, row by row, and the widths taken from them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, stats
from skimage.graph import route_through_array

from features.marks import ImplantMark
from features.strip import Axis, Strip, axis_through, straighten

Floats = NDArray[np.float64]

SMOOTH_PX = 1.0  # before differentiating: keeps the noise of one pixel out
NEAREST, FARTHEST = 0.30, 1.65  # where a wall may be, in half platform widths from the axis
FREE_ROWS = 3  # rows without cost at both ends, so that a wall may start anywhere


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Both walls on a strip.

    Attributes
    ----------
    z_px : (N,) array
        Rows, from the platform toward the apex.
    left_px, right_px : (N,) arrays
        Distance of either wall from the axis, both positive, where the grey changes fastest.
    strength_left, strength_right : (N,) arrays
        Grey change per px at the wall.
    noise : float
        Pixel noise of the film around here, in grey.
    """

    z_px: Floats
    left_px: Floats
    right_px: Floats
    strength_left: Floats
    strength_right: Floats
    noise: float

    @property
    def width_px(self) -> Floats:
        """Row by row."""
        return self.left_px + self.right_px

    @property
    def typical_width_px(self) -> float:
        """Median over all rows."""
        return float(np.median(self.width_px))

    def width_between(self, from_px: float, to_px: float) -> float:
        """Median width of the rows between two heights, px."""
        return float(np.median(self.width_px[self.between(from_px, to_px)]))

    def between(self, from_px: float, to_px: float) -> NDArray[np.bool_]:
        """Rows with `from_px` ≤ z ≤ `to_px`."""
        return (self.z_px >= from_px) & (self.z_px <= to_px)


def follow_implant(pixels: NDArray[np.float32], mark: ImplantMark) -> tuple[Strip, Outline, float]:
    """Straighten the film along the implant's own axis, found from both walls.

    Returns
    -------
    strip, outline
        On the refined axis.
    turned_deg : float
        How far the refined axis is turned from the marked one.
    """
    half = _half_width_px(mark)
    axis = axis_through(mark.platform_middle_px, mark.apex_px)
    start = axis
    for _ in range(2):  # the axis needs no fine sampling
        strip = _strip_for(pixels, axis, half, coarser=2.0)
        outline = find_walls(strip, half)
        axis = _centred(axis, outline)
        half = outline.typical_width_px / 2
    strip = _strip_for(pixels, axis, half)
    turned = np.degrees(axis.angle_rad - start.angle_rad)
    return strip, find_walls(strip, half), float((turned + 180) % 360 - 180)


def _half_width_px(mark: ImplantMark) -> float:
    (x1, y1), (x2, y2) = mark.platform_px
    along = axis_through(mark.platform_middle_px, mark.apex_px).across
    return max(abs((x2 - x1) * along[0] + (y2 - y1) * along[1]) / 2, 3.0)


def _strip_for(
    pixels: NDArray[np.float32], axis: Axis, half: float, *, coarser: float = 1.0
) -> Strip:
    fine = half < 40  # a coarse film: sample twice as densely, threads are a few pixels wide
    return straighten(
        pixels,
        axis,
        above_px=max(0.35 * axis.length_px, half),
        below_px=max(0.12 * axis.length_px, 0.8 * half, 14),
        half_px=max(2.2 * half, half + 16),
        step_px=coarser * (0.5 if fine else 1.0),
    )


def find_walls(strip: Strip, half_px: float) -> Outline:
    """Follow the left and the right wall from the platform to the apex.

    Parameters
    ----------
    strip : Strip
    half_px : float
        About half the width of the implant.
    """
    rows = strip.rows(0.0, strip.axis.length_px)
    slope = (
        ndimage.gaussian_filter(
            strip.pixels, SMOOTH_PX / strip.step_px, order=(0, 1), mode="nearest"
        )[rows]
        / strip.step_px
    )
    inside = strip.inside[rows]
    left, strong_left = _wall(slope[:, ::-1], inside[:, ::-1], -strip.t_px[::-1], half_px)
    right, strong_right = _wall(-slope, inside, strip.t_px, half_px)
    return Outline(strip.z_px[rows], left, right, strong_left, strong_right, _noise(strip))


def _wall(
    fall: Floats, inside: NDArray[np.bool_], out_px: Floats, half_px: float
) -> tuple[Floats, Floats]:
    """Cheapest way down the strip along the strongest fall of grey, outward.

    `out_px` is the distance from the axis on this side, (T,), increasing.
    """
    window = (out_px >= NEAREST * half_px) & (out_px <= FARTHEST * half_px)
    score = np.where(inside[:, window], np.maximum(fall[:, window], 0.0), 0.0)
    ceiling = max(float(np.percentile(score.max(axis=1), 60)), 1e-6)
    score = np.minimum(score / ceiling, 1.0)
    columns = _route(1.0 / (0.06 + score))
    exact = _peak(fall[:, window], columns)
    step = out_px[1] - out_px[0]
    strength = np.maximum(fall[:, window][np.arange(len(columns)), columns], 0.0)
    return out_px[window][0] + exact * step, strength


def _route(cost: Floats) -> NDArray[np.intp]:
    """Column of the cheapest path in every row."""
    free = np.full((FREE_ROWS, cost.shape[1]), 1e-3)
    padded = np.vstack([free, cost, free])
    middle = cost.shape[1] // 2
    path, _ = route_through_array(
        padded, (0, middle), (len(padded) - 1, middle), fully_connected=True, geometric=True
    )
    rows, columns = np.array(path).T
    best = np.zeros(len(padded), dtype=np.intp)
    lowest = np.full(len(padded), np.inf)
    for row, column in zip(rows, columns, strict=True):
        if padded[row, column] < lowest[row]:
            best[row], lowest[row] = column, padded[row, column]
    return best[FREE_ROWS:-FREE_ROWS]


def _peak(fall: Floats, columns: NDArray[np.intp]) -> Floats:
    """Sub-pixel place of the fastest change, by a parabola through three samples."""
    row = np.arange(len(columns))
    middle = np.clip(columns, 1, fall.shape[1] - 2)
    for _ in range(2):  # climb to the local maximum first
        around = np.stack([fall[row, middle + d] for d in (-1, 0, 1)])
        middle = np.clip(middle + around.argmax(axis=0) - 1, 1, fall.shape[1] - 2)
    before, here, after = (fall[row, middle + d] for d in (-1, 0, 1))
    bend = before - 2 * here + after
    shift = np.where(bend < -1e-9, 0.5 * (before - after) / np.minimum(bend, -1e-9), 0.0)
    return np.asarray(middle + np.clip(shift, -1.0, 1.0))


def _noise(strip: Strip) -> float:
    """Pixel noise from differences of neighbouring rows (median, so edges do not count)."""
    difference = np.diff(strip.pixels[:: max(round(1 / strip.step_px), 1)], axis=0)
    return float(1.4826 * np.median(np.abs(difference)) / np.sqrt(2)) + 1e-4


def _centred(axis: Axis, outline: Outline) -> Axis:
    """Move and turn the axis to run midway between the walls (robust straight line)."""
    body = outline.between(0.08 * axis.length_px, 0.88 * axis.length_px)
    middle = (outline.right_px - outline.left_px)[body] / 2
    fit = stats.siegelslopes(middle[::2], outline.z_px[body][::2])
    limit = np.radians(8.0)
    turn = float(np.clip(np.arctan(fit.slope), -limit, limit))
    return replace(axis.moved(t_px=float(fit.intercept), turn_rad=turn), length_px=axis.length_px)
