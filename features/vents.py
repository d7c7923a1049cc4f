"""Holes through the body, sorted from the gaps: vents, an open end."""

from __future__ import annotations

import numpy as np

from features.cross_hole import CrossHole
from features.finding import Finding, Shape, Vent
from features.gaps import TOO_FAINT, Gap, GapMap
from features.quantity import Measured, NotMeasured, Quantity

LEAST_HEIGHT = 0.12  # of the body width: lower than this is a joint line or thread shading
SEEN_INTO = 45.0  # degrees: turned farther, no opening is seen
TALLER = 1.5  # than the hole that was found: the gap is more than it then, such as the channel
OBLONG = 1.45  # height over width
# relative std of an opening's size, and of a hole's width and height known by its model alone
OPENING, MODEL_WIDTH, MODEL_HEIGHT = 0.08, 0.15, 0.18
BLUR_PX = 1.5
TURNED = {
    60.0: "a dark band across the body, darkest in one part: a hole turned askew to the beam",
    90.0: "a faint dark band right across the body: a hole seen from its side, not its opening",
}


def _is_hole(gap: Gap, width_px: float) -> bool:
    return gap.height_px > LEAST_HEIGHT * width_px and gap.width_px < 0.9 * width_px


def _reaches_end(gap: Gap, tip_px: float, width_px: float) -> bool:
    return gap.to_px > tip_px - 0.10 * width_px


def find_vent(
    gaps: GapMap, hole: CrossHole | None, *, tip_px: float, width_px: float
) -> tuple[tuple[Vent, float], ...]:
    """Describe the hole that was found (lengths in px), with its distance from the axis.

    Its size is that of the dark place where its opening is seen, else that of the model.
    """
    if hole is None or not hole.likely:
        return ()
    if hole.turn_deg > SEEN_INTO:
        why = "only a dark band across the body is seen, so how wide the hole is cannot be told"
        return ((_modelled(gaps, hole, tip_px, "band", NotMeasured(why)), 0.0),)
    opening = _opening(gaps, hole, width_px)
    if opening is None:
        width, height = 2 * hole.half_width_px, 2 * hole.half_height_px
        shape = _shape(height, width)
        return ((_modelled(gaps, hole, tip_px, shape, _about(width, MODEL_WIDTH)), 0.0),)
    return ((_as_vent(opening, hole, tip_px), opening.t_px),)


def _opening(gaps: GapMap, hole: CrossHole, width_px: float) -> Gap | None:
    """The darkest gap at the hole's height that is no more than the hole."""
    low, high = hole.z_px - hole.half_height_px, hole.z_px + hole.half_height_px
    at_its_height = [
        gap
        for gap in gaps.gaps
        if _is_hole(gap, width_px)
        and gap.height_px < TALLER * 2 * hole.half_height_px
        and min(gap.to_px, high) - max(gap.from_px, low) > 0.5 * min(gap.height_px, high - low)
    ]
    return max(at_its_height, key=lambda gap: gap.contrast, default=None)


def _as_vent(gap: Gap, hole: CrossHole, tip_px: float) -> Vent:
    shape = _shape(gap.height_px, gap.width_px)
    return Vent(
        "slot" if shape == "oblong" and gap.fill > 0.9 else shape,
        _about(gap.width_px, OPENING),
        _about(gap.height_px, OPENING),
        _from_apex(tip_px, gap.z_px),
        gap.contrast_to_noise,
        hole.probability,
    )


def _modelled(gaps: GapMap, hole: CrossHole, tip_px: float, shape: Shape, width: Quantity) -> Vent:
    return Vent(
        shape,
        width,
        _about(2 * hole.half_height_px, MODEL_HEIGHT),
        _from_apex(tip_px, hole.z_px),
        hole.missing / gaps.noise,
        hole.probability,
    )


def _shape(height_px: float, width_px: float) -> Shape:
    return "round" if height_px < OBLONG * width_px else "oblong"


def _about(size_px: float, share: float) -> Measured:
    return Measured(size_px, share * size_px + BLUR_PX, "px")


def _from_apex(tip_px: float, z_px: float) -> Measured:
    return Measured(tip_px - z_px, 0.02 * tip_px + BLUR_PX, "px")


def vents_finding(gaps: GapMap, hole: CrossHole | None, *, perforated: bool) -> Finding:
    """Present, absent (weakly: a hole may be turned away) or not assessable.

    `perforated`: rows of holes were found, among which a lone one cannot be told.
    """
    if gaps.faint:
        return Finding("not assessable", 1.0, TOO_FAINT)
    if perforated:
        why = "among the rows of holes through the hollow end a lone hole cannot be told"
        return Finding("not assessable", 1.0, why)
    if hole is not None and hole.likely:
        return Finding("present", hole.probability, TURNED.get(hole.turn_deg, ""))
    chance = 0.0 if hole is None else hole.probability
    return Finding(
        "absent", min(1 - chance, 0.9), "no hole is seen; one across the beam may not show"
    )


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
