"""Holes right through a body, square to its axis."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.solids import Field, Rays, only_between


@dataclass(frozen=True, slots=True)
class CrossHole:
    """A hole right through the body, square to the axis.

    `azimuth_deg` 0 = along the beam; `width_mm` across, `height_mm` along the axis (the same when
    round), `z_mm` its middle; `across_mm` how far it passes beside the axis.
    """

    z_mm: float
    width_mm: float
    height_mm: float
    azimuth_deg: float
    across_mm: float = 0.0

    def field(self) -> Field:
        """Positive inside the hole."""
        return side_by_side((self,))


def side_by_side(holes: tuple[CrossHole, ...]) -> Field:
    """Positive inside any of a row of holes that differ in `across_mm` alone."""
    first = holes[0]
    turn, middle = math.radians(first.azimuth_deg), np.float32(first.z_mm)
    cos, sin = np.float32(math.cos(turn)), np.float32(math.sin(turn))
    radius = np.float32(first.width_mm / 2)
    straight = np.float32((first.height_mm - first.width_mm) / 2)
    at = [np.float32(hole.across_mm) for hole in holes]

    def inside(rays: Rays) -> Array:
        along = np.maximum(np.abs(rays.z - middle) - straight, 0)
        across = rays.x * cos - rays.y * sin
        off = np.abs(across - at[0])
        for other in at[1:]:
            off = np.minimum(off, np.abs(across - other))
        return np.asarray(radius - np.sqrt(off * off + along * along))

    half = first.height_mm / 2
    return only_between(inside, first.z_mm - half, first.z_mm + half)
