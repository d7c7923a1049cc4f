"""Holes through the body, sorted from the gaps: vents, perforations, an open end."""

from __future__ import annotations

import numpy as np

from features.finding import Finding, Shape, Vent
from features.gaps import Gap, GapMap, count_spots
from features.quantity import Measured
from features.strip import Strip

HIGHEST = 0.42  # of the length: no vent starts higher
APICAL = 0.60  # of the length: a lone hole above this is the channel's empty end, not a vent
LEAST_HEIGHT = 0.12  # of the body width: lower than this is a joint line or thread shading
MANY = 4  # this many holes are a perforated wall, not vents


def _is_hole(gap: Gap, width_px: float) -> bool:
    return gap.height_px > LEAST_HEIGHT * width_px and gap.width_px < 0.9 * width_px


def _reaches_end(gap: Gap, tip_px: float, width_px: float) -> bool:
    return gap.to_px > tip_px - 0.10 * width_px


def find_vents(
    gaps: GapMap, *, tip_px: float, width_px: float, bore_end_px: float
) -> tuple[tuple[Vent, float], ...]:
    """Lone holes in the apical part (lengths in px), each with its distance from the axis.

    `bore_end_px`: where the channel ends (0 where none was seen); a hole below it is no channel.
    """
    holes = [
        gap
        for gap in gaps.gaps
        if _is_hole(gap, width_px)
        and gap.from_px > max(bore_end_px, HIGHEST * tip_px)
        and (gap.z_px > APICAL * tip_px or bore_end_px > 0)
        and not _reaches_end(gap, tip_px, width_px)
    ]
    return tuple((_as_vent(gap, tip_px), gap.t_px) for gap in _one_per_height(holes))


def _one_per_height(holes: list[Gap]) -> list[Gap]:
    """A hole turned to the beam shows as two or three dark columns at one height: one hole."""
    kept: list[Gap] = []
    for gap in sorted(holes, key=lambda g: -g.contrast):
        beside = [
            k
            for k in kept
            if min(k.to_px, gap.to_px) - max(k.from_px, gap.from_px)
            > 0.5 * min(k.height_px, gap.height_px)
        ]
        if not beside:
            kept.append(gap)
    return kept


def _as_vent(gap: Gap, tip_px: float) -> Vent:
    blur = 1.5
    shape: Shape = "round" if gap.height_px < 1.45 * gap.width_px else "oblong"
    if gap.height_px > 1.45 * gap.width_px and gap.fill > 0.9:
        shape = "slot"
    certainty = 1 - 0.5 * np.exp(-max(gap.contrast - 0.10, 0.0) / 0.10)
    return Vent(
        shape,
        Measured(gap.width_px, 0.08 * gap.width_px + blur, "px"),
        Measured(gap.height_px, 0.08 * gap.height_px + blur, "px"),
        Measured(tip_px - gap.z_px, 0.02 * tip_px + blur, "px"),
        gap.contrast_to_noise,
        float(certainty),
    )


def vents_finding(vents: tuple[Vent, ...], gaps: GapMap) -> Finding:
    """Present, absent (weakly: a hole shows only near one turn of the body) or not assessable."""
    if gaps.faint:
        return Finding("not assessable", 1.0, "the body is burnt out or too faint to look inside")
    if vents:
        return Finding("present", max(vent.probability for vent in vents))
    return Finding("absent", 0.9, "no hole is seen; one across the beam would not show")


def perforations_finding(
    strip: Strip, gaps: GapMap, *, tip_px: float, width_px: float, opened: float, vented: bool
) -> Finding:
    """Rows of small holes: many dark spots, most surely so in a body that is open below.

    `opened`: from `open_end_probability`. `vented`: lone large holes were found, whose edges also
    make dark spots.
    """
    if gaps.faint:
        return Finding("not assessable", 1.0, "the body is burnt out or too faint to look inside")
    count = _spots(strip, gaps, tip_px=tip_px, width_px=width_px)
    if _open_and_spotted(opened, count):
        return Finding("present", float(min(0.75 + 0.05 * (count - MANY), 0.95)))
    if count >= MANY and not vented:
        return Finding("present", 0.65)
    return Finding("absent", 0.9 if count < MANY - 1 else 0.65)


def perforated(
    strip: Strip, gaps: GapMap, *, tip_px: float, width_px: float, opened: float
) -> bool:
    """Dark spots in a body that is open below."""
    count = _spots(strip, gaps, tip_px=tip_px, width_px=width_px)
    return _open_and_spotted(opened, count)


def _spots(strip: Strip, gaps: GapMap, *, tip_px: float, width_px: float) -> int:
    return count_spots(strip, gaps, width_px=width_px, from_px=0.5 * tip_px)


def _open_and_spotted(opened: float, count: int) -> bool:
    return opened > 0.5 and count >= MANY - 1


def open_end_probability(gaps: GapMap, *, tip_px: float, width_px: float) -> float:
    """That the body is hollow and open at the apex."""
    open_gaps = [
        gap
        for gap in gaps.gaps
        if _reaches_end(gap, tip_px, width_px)
        and gap.width_px > 0.35 * width_px
        and gap.height_px > 0.35 * width_px
        and abs(gap.t_px) < 0.15 * width_px
    ]
    strongest = max((gap.contrast for gap in open_gaps), default=0.0)
    return float(np.clip((strongest - 0.08) / 0.15, 0.02, 0.95))
