"""What stands on the platform in one piece with it: prism, spline teeth, post, ball, square."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.solids import Field, Profile, Rays, only_between, prism, revolved, union
from sample_images.vocabulary import MALE

TEETH = 6  # of a spline
SUNK_MM = 0.001  # heads reach this far into the body, so that no gap opens between them
NECK_SHARE = 0.62  # of a ball's width: the neck below it, from memory


@dataclass(frozen=True, slots=True)
class Head:
    """A male part above the platform; lengths in mm.

    `width_mm` is across the flats of a prism or square, across a ball, across a post's lower end
    and over the teeth of a spline; `collar_mm` the platform's width.
    """

    kind: str
    width_mm: float
    height_mm: float
    turn_deg: float
    collar_mm: float

    @property
    def reach_mm(self) -> float:
        """Largest distance from the axis."""
        if self.kind in MALE or self.kind == "square":
            sides = MALE.get(self.kind, 4)
            return self.width_mm / 2 / math.cos(math.pi / sides)
        return self.width_mm / 2

    @property
    def form(self) -> str:
        """As a film's reader calls it."""
        if self.kind in MALE:
            return "male prism"
        return {"spline teeth": "tines", "ball": "ball"}.get(self.kind, "post")

    def field(self, grow_mm: float = 0.0) -> Field:
        """Positive inside; `grow_mm` bigger all round, for the pocket of a part that fits over."""
        top, wide = -self.height_mm - grow_mm, self.width_mm + 2 * grow_mm
        if self.kind in MALE:
            return prism(MALE[self.kind], wide, top, SUNK_MM, self.turn_deg)
        if self.kind == "spline teeth":
            return spline_teeth(wide, self.height_mm + grow_mm, self.turn_deg, grow_mm)
        if self.kind == "square":
            neck = Profile((-self.height_mm * 0.35, SUNK_MM), (wide * 0.42, self.collar_mm / 2))
            square = prism(4, wide, top, -self.height_mm * 0.3, self.turn_deg)
            return union(square, revolved(neck))
        return revolved(self._profile(top, grow_mm))

    def _profile(self, top: float, grow: float) -> Profile:
        radius = self.width_mm / 2 + grow
        if self.kind == "post":
            rounded = min(0.4, radius * 0.4)
            z = (top, top + rounded, SUNK_MM)
            return Profile(z, (radius * 0.82 - rounded, radius * 0.82, radius))
        angle = np.linspace(0, math.pi - math.asin(NECK_SHARE), 120)
        along, out = top + radius * (1 - np.cos(angle)), radius * np.sin(angle)
        return Profile((*along, SUNK_MM), (*out, max(float(out[-1]), self.collar_mm / 2 * 0.7)))


def spline_teeth(wide_mm: float, height_mm: float, turn_deg: float, grow_mm: float = 0.0) -> Field:
    """Short upright teeth on a ring, with gaps as wide between them."""
    outer, inner = np.float32(wide_mm / 2), np.float32(wide_mm / 2 - 0.75 - 2 * grow_mm)
    half = np.float32(wide_mm / 2 * math.pi / TEETH / 2 * 0.85 + grow_mm)
    step, turn = np.float32(math.tau / TEETH), np.float32(math.radians(turn_deg))

    def field(rays: Rays) -> Array:
        off = rays.phi - turn
        aside = np.abs(rays.r * np.sin(off - np.rint(off / step) * step))
        walls = np.minimum(np.minimum(outer - rays.r, rays.r - inner), half - aside)
        faces = np.minimum(rays.z + np.float32(height_mm), np.float32(SUNK_MM) - rays.z)
        return np.asarray(np.minimum(walls, faces * np.float32(20)))

    return only_between(field, -height_mm, SUNK_MM)


def make_head(sizes: Mapping[str, float], forms: Mapping[str, str], turn_deg: float) -> Head | None:
    """Build the head the recipe describes, or None for a flat top."""
    platform, index, kind = sizes["platform_width_mm"], forms["index"], forms.get("head", "none")
    if index in MALE:
        return Head(index, sizes["top_flats_mm"], sizes["top_height_mm"], turn_deg, platform)
    if index == "spline teeth":
        return Head(index, platform - 0.1, sizes["top_height_mm"], turn_deg, platform)
    if kind == "none":
        return None
    width = sizes["head_width_mm"]
    if kind == "post":
        width = min(width, platform)
    height = (
        max(sizes["head_height_mm"], 1.2 * width) if kind == "ball" else sizes["head_height_mm"]
    )
    return Head(kind, width, height, turn_deg, platform)
