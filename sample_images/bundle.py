"""Straight rays in the implant's frame, and the points sampled along a bundle of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from sample_images.arrays import Array, Indices
from sample_images.solids import Rays

ANGLE_EVERY = 4  # the angle bends so slowly along a ray that every fourth sample is worked out
NEAR_MM = 1e-4  # rays closer to the axis than this are taken to pass it at this distance
SHALLOWEST = 1e-9  # below this slope a ray never leaves a slab


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Rays ``x = x0 + x_slope * y``, ``z = z0 + z_slope * y``: (N,) arrays, mm.

    `y` grows toward the tube; the frame is that of `solids`.
    """

    x0: Array
    x_slope: Array
    z0: Array
    z_slope: Array

    @classmethod
    def through(cls, t: Array, w: Array, tilt_deg: float, per_mm: float) -> Lines:
        """Rays through points of the plane of scale, from a source 1 / `per_mm` before it.

        Parameters
        ----------
        t, w : (N,) arrays
            Across and along the projected axis, mm.
        """
        cos, sin = math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))
        # 1 mm toward the tube moves a ray by (-t, -w) / source; this in the implant's frame:
        toward, down = cos - w * per_mm * sin, -sin - w * per_mm * cos
        x_slope, z_slope = -t * per_mm / toward, down / toward
        return cls(t - x_slope * w * sin, x_slope, w * cos - z_slope * w * sin, z_slope)

    @property
    def stretch(self) -> Array:
        """Length of ray per mm of `y`."""
        return np.sqrt(1 + self.x_slope**2 + self.z_slope**2)

    def some(self, which: Indices) -> Lines:
        """Pick some of the rays."""
        return Lines(self.x0[which], self.x_slope[which], self.z0[which], self.z_slope[which])

    def inside(
        self, reach_mm: float, top_mm: float, end_mm: float, depth_mm: float | None
    ) -> tuple[Array, Array]:
        """Where (in `y`) each ray enters and leaves a round box; one that misses it ends first."""
        per = 1 + self.x_slope**2
        square = reach_mm**2 * per - self.x0**2
        half = np.sqrt(np.clip(square, 0, None)) / per
        middle = -self.x0 * self.x_slope / per
        start, end = middle - half, middle + half
        slope = np.where(np.abs(self.z_slope) < SHALLOWEST, SHALLOWEST, self.z_slope)
        at_top, at_end = (top_mm - self.z0) / slope, (end_mm - self.z0) / slope
        start = np.maximum(start, np.minimum(at_top, at_end))
        end = np.minimum(end, np.maximum(at_top, at_end))
        if depth_mm is not None:
            start, end = np.maximum(start, -depth_mm), np.minimum(end, depth_mm)
        return start, end


class Bundle(Rays):
    """Points along some rays; distance and angle are worked out only for fields that ask."""

    lines: Lines

    def __init__(self, x: Array, y: Array, z: Array, lines: Lines) -> None:
        for name, value in (("x", x), ("y", y), ("z", z), ("lines", lines)):
            object.__setattr__(self, name, value)

    @classmethod
    def along(cls, lines: Lines, start: Array, end: Array, samples: int) -> Bundle:
        """`samples` even steps from `start` to `end` (in `y`, mm) on every ray."""
        share = np.linspace(0, 1, samples + 1, dtype=np.float32)
        low, width = _column(start), _column(end - start)
        y = low + width * share
        x, z = _column(lines.x0), _column(lines.z0) + _column(lines.z_slope) * y
        return cls(x + _column(lines.x_slope) * y if lines.x_slope.any() else x, y, z, lines)

    @cached_property
    def r(self) -> Array:
        """Distance from the axis, mm."""
        return np.sqrt(self.x * self.x + self.y * self.y)

    @cached_property
    def phi(self) -> Array:
        """Angle about the axis, from `x` toward `y`, rad (not folded into one turn)."""
        lines, q = self.lines, self.y[:, ::ANGLE_EVERY]
        per = 1 / np.sqrt(1 + lines.x_slope**2)
        # across the ray p stays what it is, along it q grows: the angle is turned + atan2(q, p)
        p = np.maximum(np.abs(lines.x0 * per), NEAR_MM)
        q = (q * _column(1 / per) + _column(lines.x0 * lines.x_slope * per)) / _column(p)
        side = np.where(lines.x0 < 0, -1.0, 1.0)
        turned = np.where(lines.x0 < 0, math.pi, 0.0) - np.arctan(lines.x_slope)
        coarse = np.arctan(q) * _column(side) + _column(turned)
        return np.asarray(coarse @ _between_knots(self.y.shape[1]))


@cache
def _between_knots(count: int) -> Array:
    """Weights that interpolate `count` samples from every `ANGLE_EVERY`-th: (knots, count)."""
    at = np.arange(count)
    knots = at[::ANGLE_EVERY]
    return np.stack([np.interp(at, knots, row) for row in np.eye(len(knots))]).astype(np.float32)


def _column(values: Array) -> Array:
    return values.astype(np.float32)[:, None]
