"""A flat body: a blade with windows on one or two necks, and a bar across the end of a long rod.

Nothing here is turned on a lathe. The outline handed on is that of the shadow as this rotation of
the plate throws it, since a film shows no other width.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.cross_hole import CrossHole, side_by_side
from sample_images.solids import (
    FACE_STEEPNESS,
    Field,
    Profile,
    Rays,
    only_between,
    revolved,
    union,
    without,
)

LEDGE_MM = 0.3  # height over which the neck widens into the plate
TWO_NECKS_MM = 15.0  # blades wider than this stand on two necks: from memory
UNASKED = np.zeros(1, np.float32)  # the angle: only threads ask for it
NOTCH_MM = 1.0  # serration of the lower edge, invented


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """A flat body turned by `turn_deg` about the axis (0 = broadside to the beam); lengths in mm.

    `half` is half its own width along `z`; `neck` the turned neck above it, on the implant's axis;
    `second_neck_mm` how far beside the axis a second one stands, 0 = none.
    """

    half: Profile
    thickness_mm: float
    turn_deg: float
    neck: Profile
    second_neck_mm: float
    notches: tuple[CrossHole, ...]

    @property
    def reach_mm(self) -> float:
        """Largest distance from the axis."""
        return math.hypot(max(self.half.value), self.thickness_mm / 2)

    @property
    def depth_mm(self) -> float:
        """Largest distance from the plane through the axis that faces the tube."""
        turn = math.radians(self.turn_deg)
        own = max(self.half.value) * abs(math.sin(turn))
        return own + self.thickness_mm / 2 * abs(math.cos(turn)) + 0.01

    def field(self, windows: tuple[CrossHole, ...]) -> Field:
        """Positive in the metal."""
        flat = slab(self.half, self.thickness_mm, self.turn_deg)
        holes = [side_by_side(row) for row in (windows, self.notches) if row]
        necks = [revolved(self.neck)]
        if self.second_neck_mm:
            post = Profile((-5.0, *self.neck.z_mm), (self.neck.value[0] * 0.75, *self.neck.value))
            turn = math.radians(self.turn_deg)
            away = self.second_neck_mm
            necks.append(beside(post, away * math.cos(turn), -away * math.sin(turn)))
        return union(without(flat, *holes) if holes else flat, *necks)


def slab(half: Profile, thickness_mm: float, turn_deg: float) -> Field:
    """Flat body as thick as stated, its half width along `z` in `half`."""
    table = half.table()
    cos, sin = (np.float32(f(math.radians(turn_deg))) for f in (math.cos, math.sin))
    top, end, steep = np.float32(half.top_mm), np.float32(half.end_mm), np.float32(FACE_STEEPNESS)

    def field(rays: Rays) -> Array:
        across = table.at(rays.z) - np.abs(rays.x * cos - rays.y * sin)
        thick = np.float32(thickness_mm / 2) - np.abs(rays.x * sin + rays.y * cos)
        faces = np.minimum(rays.z - top, end - rays.z) * steep
        return np.asarray(np.minimum(np.minimum(across, thick), faces))

    return only_between(field, half.top_mm, half.end_mm)


def beside(outline: Profile, x_mm: float, y_mm: float) -> Field:
    """Body of revolution standing off the axis."""
    solid = revolved(outline)

    def moved(rays: Rays) -> Array:
        x, y = rays.x - np.float32(x_mm), rays.y - np.float32(y_mm)
        return solid(Rays(x=x, y=y, z=rays.z, r=np.sqrt(x * x + y * y), phi=UNASKED))

    return only_between(moved, outline.top_mm, outline.end_mm)


def make_plate(sizes: Mapping[str, float], forms: Mapping[str, str]) -> Plate | None:
    """Build the blade a recipe describes; None for a turned body."""
    if forms.get("body") != "plate":
        return None
    length, neck = sizes["length_mm"], sizes.get("collar_height_mm", 0.0)
    thickness, turn = sizes["plate_thickness_mm"], math.radians(sizes["plate_turn_deg"])
    slope = math.tan(math.radians(sizes["taper_deg"]))
    rim, body = sizes["platform_width_mm"] / 2, sizes["body_width_mm"] / 2

    def own(shown: float) -> float:
        return max((shown - thickness / 2 * abs(math.sin(turn))) / abs(math.cos(turn)), 0.5)

    low = body - slope * (length - neck)
    half = Profile((neck, neck + LEDGE_MM, length), (rim, own(body - slope * LEDGE_MM), own(low)))
    second = body * 0.55 if 2 * body > TWO_NECKS_MM else 0.0
    notches = tuple(
        CrossHole(length, NOTCH_MM, NOTCH_MM, sizes["plate_turn_deg"], side * (1.6 + 2.4 * k))
        for k in range(int((own(low) - 1.6) / 2.4) + 1)
        for side in (-1, 1)
    )
    stem = Profile((0.0, neck + 1.2), (rim, rim * 0.8))
    return Plate(half, thickness, sizes["plate_turn_deg"], stem, second, notches)


def plate_outline(plate: Plate, sizes: Mapping[str, float]) -> Profile:
    """Half width of the shadow along the axis."""
    turn = math.radians(plate.turn_deg)

    def shown(own: float) -> float:
        return own * abs(math.cos(turn)) + plate.thickness_mm / 2 * abs(math.sin(turn))

    rim, neck = sizes["platform_width_mm"] / 2, plate.half.top_mm
    z = (0.0, neck, *plate.half.z_mm[1:]) if neck else plate.half.z_mm
    wide = [shown(value) for value in plate.half.value[1:]]
    return Profile(z, (rim, rim, *wide) if neck else (rim, *wide))


def make_windows(plate: Plate, sizes: Mapping[str, float]) -> tuple[CrossHole, ...]:
    """A row of openings through the plate at mid height."""
    width = sizes["vent_width_mm"]
    height = max(sizes.get("vent_height_mm", width), width)
    top, end = plate.half.top_mm + LEDGE_MM, plate.half.end_mm
    height = min(height, end - top - 2.0)
    middle = (top + end) / 2
    room = float(plate.half(middle)) - 0.9
    pitch = width + 1.4
    count = max(int(2 * room // pitch), 1)
    return tuple(
        CrossHole(middle, min(width, height), height, plate.turn_deg, (k - (count - 1) / 2) * pitch)
        for k in range(count)
    )
