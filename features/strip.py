"""The straightened view: the film resampled once along the implant's axis."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from features.marks import Point
from features.spline import sampled

Floats = NDArray[np.float64]

LINEAR, EDGE = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, cv2.BORDER_REPLICATE


@dataclass(frozen=True, slots=True)
class Axis:
    """An implant axis on the film.

    Attributes
    ----------
    origin_px : (x, y)
        Where the axis crosses the platform line.
    angle_rad : float
        Direction toward the apex, from the film's x toward its y.
    length_px : float
        Platform to apex as far as known.
    """

    origin_px: Point
    angle_rad: float
    length_px: float

    @property
    def along(self) -> Point:
        """Unit vector from the platform to the apex."""
        return math.cos(self.angle_rad), math.sin(self.angle_rad)

    @property
    def across(self) -> Point:
        """Unit vector square to the axis (`along` turned by +90° on the film)."""
        return -math.sin(self.angle_rad), math.cos(self.angle_rad)

    def to_film(self, z_px: float, t_px: float) -> Point:
        """Film point at `z_px` along and `t_px` across."""
        (ax, ay), (bx, by) = self.along, self.across
        x, y = self.origin_px
        return x + z_px * ax + t_px * bx, y + z_px * ay + t_px * by

    def seen_from(self, other: Axis, z_px: Floats, t_px: Floats) -> tuple[Floats, Floats]:
        """Places along and across this axis as they lie about another one."""
        (ax, ay), (bx, by) = self.along, self.across
        x = self.origin_px[0] - other.origin_px[0] + z_px * ax + t_px * bx
        y = self.origin_px[1] - other.origin_px[1] + z_px * ay + t_px * by
        (ax, ay), (bx, by) = other.along, other.across
        return x * ax + y * ay, x * bx + y * by

    def moved(self, *, z_px: float = 0.0, t_px: float = 0.0, turn_rad: float = 0.0) -> Axis:
        """The same axis with its origin moved and its direction turned."""
        return Axis(
            self.to_film(z_px, t_px), self.angle_rad + turn_rad, max(self.length_px - z_px, 1.0)
        )


def axis_through(platform_middle_px: Point, apex_px: Point) -> Axis:
    """The axis from the middle of the platform line to the apex."""
    dx = apex_px[0] - platform_middle_px[0]
    dy = apex_px[1] - platform_middle_px[1]
    return Axis(platform_middle_px, math.atan2(dy, dx), math.hypot(dx, dy))


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """A film straightened along an axis.

    Attributes
    ----------
    pixels : (Z, T) array of float32
        Rows run from above the platform to below the apex, columns across.
    inside : (Z, T) bool array
        False where the strip leaves the film.
    z_px, t_px : (Z,), (T,) arrays
        Film-pixel distances of rows from the platform and of columns from the axis.
    axis : Axis
    """

    pixels: Floats
    inside: NDArray[np.bool_]
    z_px: Floats
    t_px: Floats
    axis: Axis

    @property
    def step_px(self) -> float:
        """Film pixels from one sample to the next."""
        return float(self.z_px[1] - self.z_px[0])

    def rows(self, from_px: float, to_px: float) -> slice:
        """Rows with `from_px` ≤ z ≤ `to_px`."""
        first, last = np.searchsorted(self.z_px, [from_px, to_px + 1e-9])
        return slice(int(first), max(int(last), int(first)))

    def columns(self, from_px: float, to_px: float) -> slice:
        """Columns with `from_px` ≤ t ≤ `to_px`."""
        first, last = np.searchsorted(self.t_px, [from_px, to_px + 1e-9])
        return slice(int(first), max(int(last), int(first)))

    def columns_in(self, bands_px: tuple[tuple[float, float], ...]) -> NDArray[np.intp]:
        """Numbers of the columns of several bands, one after the other."""
        return np.concatenate([np.r_[self.columns(*band)] for band in bands_px]).astype(np.intp)

    def at(self, z_px: Floats, t_px: Floats) -> Floats:
        """Grey at any places of the strip (linear), film pixels: arrays that fit each other."""
        height, width = self.pixels.shape
        row, along = self._split(np.asarray(z_px) - self.z_px[0], height)
        column, across = self._split(np.asarray(t_px) - self.t_px[0], width)
        first, flat = row * width + column, self.pixels.ravel()
        # no place is beyond the strip, so none is clipped: the quicker way to take
        upper_left, upper, lower_left, lower = (
            flat[start:].take(first, mode="clip") for start in (0, 1, width, width + 1)
        )
        above = upper_left * (1 - across) + upper * across
        below = lower_left * (1 - across) + lower * across
        return np.asarray(above * (1 - along) + below * along)

    def _split(self, from_first_px: Floats, count: int) -> tuple[NDArray[np.intp], Floats]:
        """The sample before each place, and the part of the way to the next."""
        place = np.minimum(np.maximum(from_first_px / self.step_px, 0.0), count - 1)
        before = np.minimum(place.astype(np.intp), count - 2)
        return before, place - before


def straighten(
    pixels: NDArray[np.float32],
    axis: Axis,
    *,
    above_px: float,
    below_px: float,
    half_px: float,
    step_px: float = 1.0,
) -> Strip:
    """Resample a film along an axis.

    Parameters
    ----------
    pixels : (H, W) array
    axis : Axis
    above_px, below_px : float
        How far to go beyond the platform and beyond the apex.
    half_px : float
        How far to go to either side.
    step_px : float
        Sample distance. Up to 1, the film's own, a cubic kernel is used; beyond, for a first look,
        a linear one.
    """
    z = np.arange(-math.ceil(above_px), axis.length_px + below_px, step_px)
    t = np.arange(-math.ceil(half_px), math.ceil(half_px) + step_px / 2, step_px)
    (x0, y0), (ax, ay), (bx, by) = axis.to_film(float(z[0]), float(t[0])), axis.along, axis.across
    to_film = np.array(
        [[bx * step_px, ax * step_px, x0], [by * step_px, ay * step_px, y0], [0, 0, 1]]
    )
    shape = (len(z), len(t))
    inside = _on_film(pixels.shape, to_film, shape)
    part, to_film = _needed(pixels, to_film, shape)
    if step_px > 1:
        grey = cv2.warpAffine(part, to_film[:2], shape[::-1], flags=LINEAR, borderMode=EDGE)
        return Strip(np.asarray(grey), inside, z, t, axis)
    # a cubic kernel that is no spline blurs by where a sample falls between pixels: in bands along
    # a turned axis, which pass for fine threads
    across, down, first = to_film[1::-1].T
    return Strip(sampled(part, first, down, across, shape), inside, z, t, axis)


def _corners(to_film: Floats, strip: tuple[int, int]) -> Floats:
    """Film x and y of a strip's four corners, (2, 4)."""
    z, t = (size - 1 for size in strip)
    return np.asarray(to_film[:2] @ [[0, t, 0, t], [0, 0, z, z], [1, 1, 1, 1]])


def _needed(
    pixels: NDArray[np.float32], to_film: Floats, strip: tuple[int, int], margin: int = 12
) -> tuple[NDArray[np.float32], Floats]:
    """A copy of the part of the film that a strip and its spline need, and the way there."""
    corners = _corners(to_film, strip)
    rows, columns = (
        slice(
            int(np.clip(np.floor(place.min()) - margin, 0, size - 1)),
            int(np.clip(np.ceil(place.max()) + margin, 1, size)),
        )
        for place, size in zip(corners[::-1], pixels.shape, strict=True)
    )
    moved = to_film.copy()
    moved[:2, 2] -= columns.start, rows.start
    return pixels[rows, columns].astype(np.float32), moved


def _on_film(film: tuple[int, int], to_film: Floats, strip: tuple[int, int]) -> NDArray[np.bool_]:
    """Whether each sample of a strip lies on the film."""
    height, width = film
    z, t = (np.arange(size, dtype=np.float64) for size in strip)
    corners = _corners(to_film, strip)
    if corners.min() >= 0 and np.all(corners.max(axis=1) <= (width - 1, height - 1)):
        return np.ones(strip, dtype=bool)
    x, y = (row[0] * t + row[1] * z[:, None] + row[2] for row in to_film[:2])
    return np.asarray((x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1))
