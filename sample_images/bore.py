"""The bore of an implant: mouth, index and tapped channel, or a smooth well."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.solids import Field, Profile, Thread, prism, revolved, rods, union

DRILL_HALF_ANGLE_DEG = 59.0  # a twist drill's point, 118 deg: common practice

# major diameter and pitch of a screw thread, mm (ISO 261 coarse; ASME B1.1 for UNF 1-72)
SCREWS: dict[str, tuple[float, float]] = {
    "M1.6": (1.6, 0.35),
    "M1.8": (1.8, 0.35),
    "M2": (2.0, 0.4),
    "M2.5": (2.5, 0.45),
    "UNF 1-72": (1.8542, 25.4 / 72),
}


@dataclass(frozen=True, slots=True, eq=False)
class Bore:
    """The empty space inside an implant.

    Attributes
    ----------
    wall : Profile
        Radius along `z`, mm; the thread's major radius where tapped.
    thread : Thread or None
        Internal thread, cut from the major radius inwards.
    width_mm, depth_mm : float
        Major diameter of the tapped part (of a well, at half depth), and platform to the end of the
        parallel part, the drill's cone not counted.
    cone_deg : float
        Half-angle of the wall at the platform.
    index : tuple of Field
        Prism or lobes added to the round bore.
    index_kind : str
        As in a recipe's forms.
    index_depth_mm, flats_mm : float
        How deep the index reaches, and a hexagon's width across flats.
    index_turn_deg : float
        How the index is turned about the axis (0 = a flat or a lobe faces right).
    lobe_mm : (float, float)
        Distance of a lobe's middle from the axis, and its radius.
    """

    wall: Profile
    thread: Thread | None
    width_mm: float
    depth_mm: float
    cone_deg: float
    index: tuple[Field, ...]
    index_kind: str
    index_depth_mm: float
    flats_mm: float
    index_turn_deg: float
    lobe_mm: tuple[float, float]

    def void(self) -> Field:
        """Positive in the empty space."""
        threads = () if self.thread is None else (self.thread,)
        round_part = revolved(self.wall, threads)
        return union(round_part, *self.index) if self.index else round_part

    def reach_mm(self, z_mm: float | Array) -> Array:
        """Largest distance of the empty space from the axis at `z_mm`."""
        corner = 0.0
        if self.index_kind == "three lobes":
            corner = sum(self.lobe_mm)
        elif self.index_kind == "hexagon":
            corner = self.flats_mm / 2 / math.cos(math.radians(30))
        round_part = np.where(np.asarray(z_mm) <= self.wall.end_mm, self.wall(z_mm), 0.0)
        return np.maximum(
            round_part, np.where(np.asarray(z_mm) <= self.index_depth_mm, corner, 0.0)
        )

    def mouth_width_mm(self) -> float:
        """Width of the opening at the platform as this film shows it, whatever its form."""
        round_mm = float(self.wall(0.0)) * 2
        if self.index_kind == "three lobes":
            at, radius = self.lobe_mm
            sides = [at * math.cos(math.radians(self.index_turn_deg + 120 * k)) for k in range(3)]
            right = max(round_mm / 2, max(sides) + radius)
            return right - min(-round_mm / 2, min(sides) - radius)
        return round_mm


def make_bore(
    sizes: Mapping[str, float],
    forms: Mapping[str, str],
    top_mm: float,
    lowest_mm: float,
    turn_deg: float,
) -> Bore:
    """Build the bore; it ends above `lowest_mm` whatever the drawn depth."""
    top = min(top_mm, -sizes.get("top_height_mm", 0.0)) - 0.01
    if forms["screw"] == "none":
        return _well(sizes, top, lowest_mm, turn_deg)
    width, pitch = SCREWS[forms["screw"]]
    radius = width / 2
    point = radius / math.tan(math.radians(DRILL_HALF_ANGLE_DEG))
    depth = min(sizes["bore_depth_mm"], lowest_mm - point)
    z, r, cone = _mouth(sizes, forms, top, radius)
    floor = z[-1] if z else top
    wall = Profile((*z, floor, depth, depth + point), (*r, radius, radius, 0.0))
    cut = 0.541266 * pitch  # 5/8 of H = 0.866025 P: basic minor diameter D1, ISO 68-1
    inside = Profile((floor, floor + pitch / 2, depth, depth + 1e-3), (0.0, cut, cut, 0.0))
    thread = Thread(pitch, 1, 0.125, 0.25, inside, crest_z_mm=floor + turn_deg / 360 * pitch)
    index, lobe = _index(sizes, forms, top, turn_deg)
    kind, deep, flats = (
        forms["index"],
        sizes.get("index_depth_mm", 0.0),
        sizes.get("index_flats_mm", 0),
    )
    return Bore(wall, thread, width, depth, cone, index, kind, deep, flats, turn_deg, lobe)


def _well(sizes: Mapping[str, float], top: float, lowest: float, turn_deg: float) -> Bore:
    """Build a smooth well, parallel or with a locking taper, flat-bottomed."""
    depth = min(sizes["bore_depth_mm"], lowest)
    slope = math.tan(math.radians(sizes.get("well_taper_deg", 0.0)))
    mouth = sizes["well_width_mm"] / 2
    wall = Profile((top, depth), (mouth - slope * top, mouth - slope * depth))
    width = 2 * float(wall(depth / 2))
    taper = sizes.get("well_taper_deg", 0.0)
    return Bore(wall, None, width, depth, taper, (), "none", 0.0, 0.0, turn_deg, (0.0, 0.0))


def _mouth(
    sizes: Mapping[str, float], forms: Mapping[str, str], top: float, radius: float
) -> tuple[list[float], list[float], float]:
    """Knots of the wall above the tapped part, and the half-angle at the platform."""
    if "mouth_width_mm" not in sizes:
        return [], [], 0.0
    wide, cone = sizes["mouth_width_mm"] / 2, sizes.get("mouth_cone_deg", 0.0)
    slope, floor = math.tan(math.radians(cone)), radius + 0.05
    end = sizes["mouth_depth_mm"]
    if wide - slope * end < floor:
        end = (wide - floor) / slope
    z, r = [top, end], [wide - slope * top, wide - slope * end]
    if forms["index"] == "hexagon":  # a round guide below the prism, then the tapped part
        tube = sizes["index_flats_mm"] / 2 if cone > 30 else floor
        z += [end, max(sizes["index_depth_mm"], end)]
        r += [min(tube, r[-1]), min(tube, r[-1])]
    return z, r, cone


def _index(
    sizes: Mapping[str, float], forms: Mapping[str, str], top: float, turn_deg: float
) -> tuple[tuple[Field, ...], tuple[float, float]]:
    deep = sizes.get("index_depth_mm", 0.0)
    if forms["index"] == "hexagon":
        return (prism(6, sizes["index_flats_mm"], top, deep, turn_deg),), (0.0, 0.0)
    if forms["index"] == "three lobes":
        radius = sizes["lobe_width_mm"] / 2
        at = sizes["lobe_reach_mm"] - radius
        return (rods(3, at, radius, top, deep, turn_deg),), (at, radius)
    return (), (0.0, 0.0)
