"""The bore of an implant: mouth, index and tapped channel, or a smooth well."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.index_shape import PRISMS, Index, draw_index, fit_opening
from sample_images.solids import NOTHING_MM, Field, Profile, Rays, Thread, revolved, union

DRILL_HALF_ANGLE_DEG = 59.0  # a twist drill's point, 118 deg: common practice
TAPPED_MM = 0.8  # two turns at least for the screw below mouth and index, common practice
LEAD_IN_MM = 1.0  # a mouth shallower than this is a bevel, a deeper one a cone that parts sit in

# major diameter and pitch of a screw thread, mm (ISO 261 coarse; ASME B1.1 for UNF 1-72)
SCREWS: dict[str, tuple[float, float]] = {
    "M1.4": (1.4, 0.3),
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
    index : Index
        Prism or lobes added to the round bore.
    """

    wall: Profile
    thread: Thread | None
    width_mm: float
    depth_mm: float
    cone_deg: float
    index: Index

    @property
    def exists(self) -> bool:
        """False for a solid implant."""
        return self.width_mm > 0

    @property
    def floor_mm(self) -> float:
        """How deep mouth and index reach below the platform, to where the tapped part begins."""
        tap = self.wall.end_mm if self.thread is None else self.thread.depth.top_mm
        return max(tap, self.index.depth_mm, 0.0)

    def straight_mm(self, off_mm: float) -> float:
        """How far below the platform the opening, as wide as it shows, keeps to one line."""
        z = np.arange(0.0, self.depth_mm, 0.02)
        wide, end = self._shown_mm(z), 2
        while end < len(z) and _off_its_line(wide[: end + 1]) <= 2 * off_mm:
            end += 1
        return float(z[end - 1])

    @property
    def index_turn_deg(self) -> float:
        """How the index is turned about the axis (0 = a flat or a lobe faces right)."""
        return self.index.turn_deg

    def void(self) -> Field:
        """Positive in the empty space."""
        if not self.exists:
            return _nowhere
        threads = () if self.thread is None else (self.thread,)
        round_part = revolved(self.wall, threads)
        return union(round_part, *self.index.fields(self.wall.top_mm))

    def reach_mm(self, z_mm: float | Array) -> Array:
        """Largest distance of the empty space from the axis at `z_mm`."""
        round_part = np.where(np.asarray(z_mm) <= self.wall.end_mm, self.wall(z_mm), 0.0)
        corner = self.index.corner_mm()
        return np.maximum(
            round_part, np.where(np.asarray(z_mm) <= self.index.depth_mm, corner, 0.0)
        )

    def mouth_width_mm(self) -> float:
        """Width of the opening at the platform as this film shows it, whatever its form."""
        return float(self._shown_mm(np.zeros(1))[0])

    def _shown_mm(self, z_mm: Array) -> Array:
        """Width of the wall and, where it has one, of the index, as the film shows both."""
        half, (left, right) = self.wall(z_mm), self.index.sides_mm()
        with_index = np.maximum(half, right) - np.minimum(-half, left)
        return np.where(z_mm <= self.index.depth_mm, with_index, 2 * half)


def _off_its_line(values: Array) -> float:
    """How far values at even distances lie off the line from the first to the last, at most."""
    return float(np.abs(values - np.linspace(values[0], values[-1], len(values))).max())


def _nowhere(rays: Rays) -> Array:
    return np.full(np.broadcast_shapes(rays.x.shape, rays.y.shape), NOTHING_MM, np.float32)


NO_BORE = Bore(Profile((0.0, 0.01), (0.0, 0.0)), None, 0.0, 0.0, 0.0, Index())


def make_bore(
    sizes: Mapping[str, float],
    forms: Mapping[str, str],
    top_mm: float,
    lowest_mm: float,
    turn_deg: float,
) -> Bore:
    """Build the bore; it ends above `lowest_mm` whatever the drawn depth."""
    if forms.get("bore") == "no":
        return NO_BORE
    top = min(top_mm, -sizes.get("top_height_mm", 0.0)) - 0.01
    sizes = fit_opening(forms["index"], sizes, turn_deg)
    if forms["screw"] == "none":
        return _well(sizes, top, lowest_mm, turn_deg)
    width, pitch = _screw(sizes, forms)
    radius = width / 2
    point = radius / math.tan(math.radians(DRILL_HALF_ANGLE_DEG))
    depth = float(min(sizes["bore_depth_mm"], lowest_mm - point))
    sizes = _above_the_tap(sizes, depth - TAPPED_MM)
    index = draw_index(forms["index"], sizes, turn_deg)
    z, r, cone = _mouth(sizes, index, top, radius)
    floor = z[-1] if z else top
    wall = Profile((*z, floor, depth, depth + point), (*r, radius, radius, 0.0))
    cut = 0.541266 * pitch  # 5/8 of H = 0.866025 P: basic minor diameter D1, ISO 68-1
    inside = Profile((floor, floor + pitch / 2, depth, depth + 1e-3), (0.0, cut, cut, 0.0))
    thread = Thread(pitch, 1, 0.125, 0.25, inside, crest_z_mm=floor + turn_deg / 360 * pitch)
    return Bore(wall, thread, width, depth, cone, index)


def _above_the_tap(sizes: Mapping[str, float], room_mm: float) -> dict[str, float]:
    """Let mouth and index end where the screw still finds a thread below them."""
    return {
        key: min(size, room_mm) if key in ("mouth_depth_mm", "index_depth_mm") else size
        for key, size in sizes.items()
    }


def _screw(sizes: Mapping[str, float], forms: Mapping[str, str]) -> tuple[float, float]:
    """Major diameter and pitch; a width that no standard has takes the nearest standard's pitch."""
    if "bore_width_mm" not in sizes:
        return SCREWS[forms["screw"]]
    width = sizes["bore_width_mm"]
    return width, min(SCREWS.values(), key=lambda screw: abs(screw[0] - width))[1]


def _well(sizes: Mapping[str, float], top: float, lowest: float, turn_deg: float) -> Bore:
    """Build a smooth well, parallel or with a locking taper, flat-bottomed."""
    depth = float(min(sizes["bore_depth_mm"], lowest))
    slope = math.tan(math.radians(sizes.get("well_taper_deg", 0.0)))
    if "bore_width_mm" in sizes:  # a measured width is that at half depth
        mouth = sizes["bore_width_mm"] / 2 + slope * depth / 2
    else:
        mouth = sizes["well_width_mm"] / 2
    wall = Profile((top, depth), (mouth - slope * top, mouth - slope * depth))
    width = 2 * float(wall(depth / 2))
    taper = sizes.get("well_taper_deg", 0.0)
    return Bore(wall, None, width, depth, taper, Index(turn_deg=turn_deg))


def _mouth(
    sizes: Mapping[str, float], index: Index, top: float, radius: float
) -> tuple[list[float], list[float], float]:
    """Knots of the wall above the tapped part, and the half-angle at the platform."""
    wide, cone = sizes.get("mouth_width_mm", 0.0) / 2, sizes.get("mouth_cone_deg", 0.0)
    if "mouth_depth_mm" not in sizes or wide < radius + 0.02:
        if index.kind == "none" or not index.depth_mm:
            return [], [], 0.0
        return [top, index.depth_mm], [radius + 0.05] * 2, 0.0
    slope, floor = math.tan(math.radians(cone)), min(radius + 0.05, wide)
    end = sizes["mouth_depth_mm"]
    if wide - slope * end < floor:
        end = (wide - floor) / slope
    z, r = [top, end], [wide - slope * top, wide - slope * end]
    if index.kind in PRISMS:  # a round guide below the prism, then the tapped part
        lead_in = sizes["mouth_depth_mm"] < LEAD_IN_MM
        tube = index.flats_mm / 2 if lead_in else floor
        z += [end, max(index.depth_mm, end)]
        r += [min(tube, r[-1]), min(tube, r[-1])]
    return z, r, cone
