"""The index inside a bore: what keeps a part from turning, as an empty space added to the bore."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from sample_images.solids import Field, prism, rods

PRISMS = {"hexagon": (6, 1), "octagon": (8, 1), "twelve points": (6, 2)}  # sides, prisms together
LOBES = {"three lobes": 3, "cam grooves": 4}
OPENING_SIZES = ("mouth_width_mm", "index_flats_mm", "lobe_reach_mm", "lobe_width_mm")


@dataclass(frozen=True, slots=True)
class Index:
    """One kind of index, `depth_mm` deep, turned about the axis by `turn_deg`.

    `flats_mm` is a prism's width across flats; `lobe_mm` the distance of a lobe's middle from the
    axis and its radius.
    """

    kind: str = "none"
    depth_mm: float = 0.0
    turn_deg: float = 0.0
    flats_mm: float = 0.0
    lobe_mm: tuple[float, float] = (0.0, 0.0)

    def fields(self, top_mm: float) -> tuple[Field, ...]:
        """Return the empty spaces from `top_mm` down; a 12-point index is two hexagons."""
        if self.kind in LOBES:
            at, radius = self.lobe_mm
            return (rods(LOBES[self.kind], at, radius, top_mm, self.depth_mm, self.turn_deg),)
        if self.kind not in PRISMS:
            return ()
        sides, several = PRISMS[self.kind]
        turns = [self.turn_deg + 180 / sides * k for k in range(several)]
        return tuple(prism(sides, self.flats_mm, top_mm, self.depth_mm, turn) for turn in turns)

    def corner_mm(self) -> float:
        """Largest distance from the axis."""
        if self.kind in PRISMS:
            return self.flats_mm / 2 / math.cos(math.pi / PRISMS[self.kind][0])
        return sum(self.lobe_mm)

    def sides_mm(self) -> tuple[float, float]:
        """How far it reaches to the left (negative) and to the right, as this rotation shows it."""
        at, radius = self.lobe_mm
        if self.kind in LOBES:
            count = LOBES[self.kind]
            middles = [
                at * math.cos(math.radians(self.turn_deg + 360 / count * k)) for k in range(count)
            ]
            return min(middles) - radius, max(middles) + radius
        half = self.flats_mm * shown_per_flats(self.kind, self.turn_deg) / 2
        return -half, half


def shown_per_flats(kind: str, turn_deg: float) -> float:
    """Width a turned prism shows across, over its width across flats; 0 if it is no prism."""
    if kind not in PRISMS:
        return 0.0
    sides, several = PRISMS[kind]
    step = 360 / sides
    turns = [turn_deg + step / 2 * k for k in range(several)]
    corners = [turn + step / 2 + step * k for turn in turns for k in range(sides)]
    reach = max(math.cos(math.radians(corner)) for corner in corners)
    return reach / math.cos(math.pi / sides)


def draw_index(kind: str, sizes: Mapping[str, float], turn_deg: float) -> Index:
    """Make the index a recipe's dimensions describe."""
    deep = sizes.get("index_depth_mm", 0.0)
    if kind in PRISMS:
        return Index(kind, deep, turn_deg, sizes["index_flats_mm"])
    if kind in LOBES:
        radius = sizes["lobe_width_mm"] / 2
        return Index(kind, deep, turn_deg, 0.0, (sizes["lobe_reach_mm"] - radius, radius))
    return Index(turn_deg=turn_deg)


def fit_opening(kind: str, sizes: Mapping[str, float], turn_deg: float) -> dict[str, float]:
    """Make the opening at the platform as wide as `opening_width_mm` says, whatever its form."""
    out = dict(sizes)
    if "opening_width_mm" not in sizes:
        return out
    opening = sizes["opening_width_mm"]
    if kind not in LOBES and (kind not in PRISMS or sizes.get("mouth_cone_deg", 0.0) > 0):
        out["mouth_width_mm"] = opening
        if kind in PRISMS:  # the prism stays clear of a mouth narrower than usual
            room = opening * math.cos(math.pi / PRISMS[kind][0])
            out["index_flats_mm"] = min(sizes["index_flats_mm"], room)
        return out
    left, right = draw_index(kind, sizes, turn_deg).sides_mm()
    half = sizes.get("mouth_width_mm", 0.0) / 2
    grow = opening / (max(half, right) - min(-half, left))
    return out | {key: out[key] * grow for key in OPENING_SIZES if key in out}
