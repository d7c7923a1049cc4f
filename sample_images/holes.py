"""What is cut out of a body: vents, perforations, an apical hollow, flutes and side grooves."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sample_images.cross_hole import CrossHole
from sample_images.outline import KNOTS
from sample_images.solids import Field, Profile, rods

COUNTS = {"none": 0, "two": 2, "three": 3, "four": 4}


@dataclass(frozen=True, slots=True)
class Cuts:
    """Round channels along the axis in the body's side: flutes or grooves."""

    count: int
    at_mm: float
    width_mm: float
    top_mm: float
    end_mm: float
    turn_deg: float

    def field(self) -> Field:
        """Positive inside the channels."""
        half = self.width_mm / 2
        return rods(self.count, self.at_mm, half, self.top_mm, self.end_mm, self.turn_deg)


def make_flutes(
    sizes: Mapping[str, float], forms: Mapping[str, str], envelope: Profile, turn_deg: float
) -> Cuts | None:
    """Cutting flutes, open at the apex."""
    count = COUNTS[forms["flutes"]]
    if not count:
        return None
    start = envelope.end_mm - sizes["flute_length_mm"]
    at, width = float(envelope(start + 0.5)) + 0.1, sizes["flute_width_mm"]
    return Cuts(count, at, width, start, envelope.end_mm + 1, turn_deg)


def make_grooves(
    sizes: Mapping[str, float], forms: Mapping[str, str], envelope: Profile, turn_deg: float
) -> Cuts | None:
    """Side grooves along the lower body, closed at both ends."""
    count = COUNTS[forms.get("grooves", "none")]
    if not count:
        return None
    end = envelope.end_mm - sizes["apex_round_mm"] - 0.3
    start = max(end - sizes["groove_length_mm"], sizes.get("collar_height_mm", 0.0) + 1.0)
    at = float(envelope((start + end) / 2)) + 0.15
    return Cuts(count, at, sizes["groove_width_mm"], start, end, turn_deg)


def make_vents(
    sizes: Mapping[str, float], forms: Mapping[str, str], turn_deg: float
) -> tuple[CrossHole, ...]:
    """One through-hole near the apex, or two crossing at the same height."""
    if forms["vents"] == "none":
        return ()
    z, width = sizes["length_mm"] - sizes["vent_from_apex_mm"], sizes["vent_width_mm"]
    height = max(sizes.get("vent_height_mm", width), width)
    azimuths = (turn_deg,) if forms["vents"] == "one" else (turn_deg, turn_deg + 90)
    return tuple(CrossHole(z, width, height, half_turn(azimuth)) for azimuth in azimuths)


def half_turn(azimuth_deg: float) -> float:
    """Fold an azimuth into -90 … 90: a through-hole looks the same from behind."""
    return (azimuth_deg + 90) % 180 - 90


def make_hollow(
    sizes: Mapping[str, float], forms: Mapping[str, str], envelope: Profile
) -> Profile | None:
    """Shape the inside of a thin-walled end, its roof rounded; open below where the apex is."""
    if forms["apex"] != "open" and forms.get("hollow") != "yes":
        return None
    end = envelope.end_mm
    top = end - min(sizes["hollow_length_mm"], end - 5.5)
    inner = float(envelope((top + end) / 2)) - sizes["wall_mm"] - sizes.get("thread_depth_mm", 0.0)
    inner = min(inner, float(envelope(end - sizes["apex_round_mm"])) - 0.15)
    share = np.linspace(0, 1, KNOTS)
    roof = top + 0.5 * (1 - np.cos(share * math.pi / 2))
    floor = end + 0.01 if forms["apex"] == "open" else end - max(sizes["apex_round_mm"], 0.6)
    return Profile((*roof, floor), (*(inner * np.sin(share * math.pi / 2)), inner))


def make_perforations(
    sizes: Mapping[str, float],
    forms: Mapping[str, str],
    hollow: Profile | None,
    turn_deg: float,
) -> tuple[CrossHole, ...]:
    """Rows of round holes through the tube's wall, three across each level, levels staggered."""
    absent = "perforation_width_mm" not in sizes or forms.get("perforations") == "no"
    if hollow is None or absent:
        return ()
    width, step = sizes["perforation_width_mm"], sizes["perforation_spacing_mm"]
    first, last = hollow.top_mm + 0.5 + width, hollow.end_mm - width - 0.3
    levels = np.arange(first, last, step)
    return tuple(
        CrossHole(float(z), width, width, half_turn(turn_deg + 60 * k + 30 * (row % 2)))
        for row, z in enumerate(levels)
        for k in range(3)
    )
