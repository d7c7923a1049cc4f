"""The two walls of the implant, row by row, and the widths taken from them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.marks import ImplantMark
from features.median_line import median_line
from features.routes import BARRED, cheapest_ways
from features.smoothing import slope_across
from features.strip import Axis, Strip, axis_through, straighten

Floats = NDArray[np.float64]

SMOOTH_PX = 1.0  # before differentiating: keeps the noise of one pixel out
NEAREST, FARTHEST = 0.30, 1.65  # where a wall may be, in half platform widths from the axis
BEYOND_RIM = 1.12  # of half the marked platform's width: a flared one lies farther out than that
CLOSE, CLOSE_PX = 0.15, 8.0  # of the half width, and at least: how far a finer look is tried first
STEEPER = 1e-5  # what tells two falls apart that are both steep enough: else rounding would
COARSE = 30.0  # samples to half a width that are enough for an axis
ENOUGH_FOR_NOISE = 200_000  # samples: twice as many leave out every other column


@dataclass(frozen=True, eq=False)
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

    @cached_property
    def width_px(self) -> Floats:
        """Row by row."""
        return self.left_px + self.right_px

    @cached_property
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
    rim = BEYOND_RIM * half
    axis = axis_through(mark.platform_middle_px, mark.apex_px)
    start = axis
    for _ in range(2):  # the axis needs no fine sampling
        coarse = _strip_for(pixels, axis, half, rim, coarser=max(2.0, half / COARSE))
        outline = find_walls(coarse, half, rim_px=rim)
        axis, half = _centred(axis, outline), outline.typical_width_px / 2
    strip = _strip_for(pixels, axis, half, rim)
    turned = np.degrees(axis.angle_rad - start.angle_rad)
    outline = find_walls(strip, half, rim_px=rim, near=about(axis, coarse, outline))
    return strip, outline, float((turned + 180) % 360 - 180)


def about(axis: Axis, strip: Strip, outline: Outline) -> Outline:
    """An outline found on one strip as it lies about another axis."""
    z = outline.z_px
    left, right = (
        side * np.interp(z, *strip.axis.seen_from(axis, z, side * wall))
        for side, wall in ((-1.0, outline.left_px), (1.0, outline.right_px))
    )
    return replace(outline, left_px=left, right_px=right)


def _half_width_px(mark: ImplantMark) -> float:
    (x1, y1), (x2, y2) = mark.platform_px
    along = axis_through(mark.platform_middle_px, mark.apex_px).across
    return max(abs((x2 - x1) * along[0] + (y2 - y1) * along[1]) / 2, 3.0)


def _strip_for(
    pixels: NDArray[np.float32], axis: Axis, half: float, rim: float, *, coarser: float = 1.0
) -> Strip:
    fine = half < 40  # a coarse film: sample twice as densely, threads are a few pixels wide
    return straighten(
        pixels,
        axis,
        above_px=max(0.35 * axis.length_px, half),
        below_px=max(0.12 * axis.length_px, 0.8 * half, 14),
        half_px=max(2.2 * half, max(half, rim) + 16),
        step_px=coarser * (0.5 if fine else 1.0),
    )


def find_walls(
    strip: Strip,
    half_px: float,
    *,
    rim_px: float = 0.0,
    near: Outline | None = None,
    ways: Callable[[list[Floats]], list[NDArray[np.intp]]] = cheapest_ways,
) -> Outline:
    """Follow the left and the right wall from the platform to the apex.

    Parameters
    ----------
    strip : Strip
    half_px : float
        About half the width of the implant.
    rim_px : float
        Walls may lie at least so far out.
    near : Outline, optional
        Where a coarser look found the walls; they are sought close by.
    ways : callable
        How they are followed elsewhere.
    """
    rows = strip.rows(0.0, strip.axis.length_px)
    slope, inside, z = _slope_across(strip, rows), strip.inside[rows], strip.z_px[rows]
    sides = (
        _side(slope[:, ::-1], inside[:, ::-1], -strip.t_px[::-1], half_px, rim_px),
        _side(-slope, inside, strip.t_px, half_px, rim_px),
    )
    if near is None:
        found = ways([side.cost for side in sides])
    else:
        known = [np.interp(z, near.z_px, wall) for wall in (near.left_px, near.right_px)]
        found = _ways_close_by(sides, known, max(CLOSE * half_px, CLOSE_PX))
    left, right = (_wall(side, way) for side, way in zip(sides, found, strict=True))
    strong_left, strong_right = (
        np.maximum(side.fall[np.arange(len(z)), way], 0.0)
        for side, way in zip(sides, found, strict=True)
    )
    return Outline(z, left, right, strong_left, strong_right, _noise(strip))


def _slope_across(strip: Strip, rows: slice) -> Floats:
    """Change of grey per px across the axis, of some rows."""
    blur = SMOOTH_PX / strip.step_px
    above = min(rows.start, int(5 * blur) + 1)  # rows that the blur reaches, and no more
    part = strip.pixels[rows.start - above : rows.stop + int(5 * blur) + 1]
    slope = slope_across(part, blur) / strip.step_px
    return np.asarray(slope[above : above + rows.stop - rows.start], np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """Where one wall may be: the fall of grey outward, (Z, T), and what a way there costs.

    `out_px` is the distance from the axis on this side, (T,), increasing.
    """

    fall: Floats
    out_px: Floats
    cost: Floats


def _side(
    fall: Floats, inside: NDArray[np.bool_], out_px: Floats, half_px: float, rim_px: float
) -> _Side:
    farthest = max(FARTHEST * half_px, rim_px)
    window = (out_px >= NEAREST * half_px) & (out_px <= farthest)
    fall = fall[:, window]
    score = np.where(inside[:, window], np.maximum(fall, 0.0), 0.0)
    ceiling = max(float(np.percentile(score.max(axis=1), 60)), 1e-6)
    steep = score / ceiling
    cost = 1.0 / (0.06 + np.minimum(steep, 1.0) + STEEPER * steep)
    return _Side(fall, out_px[window], cost)


def _ways_close_by(
    sides: tuple[_Side, _Side], walls: list[Floats], reach_px: float
) -> list[NDArray[np.intp]]:
    """The cheapest way near each wall, or anywhere if it would rather run farther off."""
    close = [
        _close_to(wall, side.out_px, reach_px) for side, wall in zip(sides, walls, strict=True)
    ]
    bands = [np.flatnonzero(places.any(axis=0))[[0, -1]] + (0, 1) for places in close]
    ways = cheapest_ways(
        [
            np.where(places, side.cost, BARRED)[:, slice(*band)]
            for side, places, band in zip(sides, close, bands, strict=True)
        ]
    )
    ways = [band[0] + way for band, way in zip(bands, ways, strict=True)]
    free = [_is_free(way, places) for way, places in zip(ways, close, strict=True)]
    if all(free):
        return ways
    anywhere = cheapest_ways([side.cost for side in sides])
    return [ways[n] if free[n] else anywhere[n] for n in range(len(sides))]


def _close_to(wall: Floats, out_px: Floats, reach_px: float) -> NDArray[np.bool_]:
    """Places near a wall, (Z, T); rows overlap, as a wall may step."""
    wall = np.clip(wall, out_px[0], out_px[-1])
    lowest = ndimage.minimum_filter1d(wall, 5) - reach_px
    highest = ndimage.maximum_filter1d(wall, 5) + reach_px
    return np.asarray((out_px >= lowest[:, None]) & (out_px <= highest[:, None]))


def _is_free(way: NDArray[np.intp], close: NDArray[np.bool_]) -> bool:
    """Whether a way never runs along the end of the places close by."""
    rows, beside = np.arange(len(way)), np.pad(close, ((0, 0), (1, 1)), constant_values=True)
    return bool((beside[rows, way] & beside[rows, way + 2]).all())


def _wall(side: _Side, way: NDArray[np.intp]) -> Floats:
    """Distance from the axis where the grey falls fastest about a way."""
    out_px = side.out_px
    return np.asarray(out_px[0] + _peak(side.fall, way) * (out_px[1] - out_px[0]))


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
    columns = max(strip.pixels.size // ENOUGH_FOR_NOISE, 1)
    difference = np.diff(strip.pixels[:: max(round(1 / strip.step_px), 1), ::columns], axis=0)
    sizes = np.abs(difference).ravel()
    middle = len(sizes) // 2  # np.median sorts on for the other middle one, of some 200 000
    return float(1.4826 * np.partition(sizes, middle)[middle] / np.sqrt(2)) + 1e-4


def _centred(axis: Axis, outline: Outline) -> Axis:
    """Move and turn the axis to run midway between the walls (robust straight line)."""
    body = outline.between(0.08 * axis.length_px, 0.88 * axis.length_px)
    middle = (outline.right_px - outline.left_px)[body] / 2
    slope, intercept = median_line(outline.z_px[body][::2], middle[::2])
    limit = np.radians(8.0)
    turn = float(np.clip(np.arctan(slope), -limit, limit))
    return replace(axis.moved(t_px=intercept, turn_rad=turn), length_px=axis.length_px)
