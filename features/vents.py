"""Holes through the body, sorted from the gaps: vents, perforations, an open end."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from features.cross_band import Band
from features.finding import Finding, Shape, Vent
from features.gaps import Gap, GapMap, count_spots
from features.quantity import Measured, NotMeasured
from features.strip import Strip

HIGHEST = 0.42  # of the length: no vent starts higher
APICAL = 0.60  # of the length: a lone hole above this is the channel's empty end, not a vent
LEAST_HEIGHT = 0.12  # of the body width: lower than this is a joint line or thread shading
OFF_AXIS = 0.15  # of the body width: two holes, or one turned askew; a channel lies on the axis
PAIRED = 0.25  # of the body width: how far apart the two halves of a pair may lie in height
HOLLOW = 0.3  # probability of an open end from which a body counts as hollow below …
DARK_IN_HOLLOW = 0.3  # … where the hollow's own end is darker than this part of the contrast
ASKEW = 0.5  # of the darkest third: less, and the hole opens at least half toward the beam
LONG_HOLLOW = (0.66, 0.94)  # of the length: a hollow with rows of holes reaches at least so far
LEAST_SPOTS = 2  # in it; fewer are the edges of one hole (simulated)


def _is_hole(gap: Gap, width_px: float) -> bool:
    return gap.height_px > LEAST_HEIGHT * width_px and gap.width_px < 0.9 * width_px


def _reaches_end(gap: Gap, tip_px: float, width_px: float) -> bool:
    return gap.to_px > tip_px - 0.10 * width_px


def find_vents(
    gaps: GapMap, *, tip_px: float, width_px: float, bore_end_px: float
) -> tuple[tuple[Vent, float], ...]:
    """Lone holes in the apical part (lengths in px), each with its distance from the axis.

    `bore_end_px`: where the channel ends (0 where none was seen); a hole below it, or a pair of
    dark places on either side of the axis, is no channel.
    """
    low = [
        gap
        for gap in gaps.gaps
        if _is_hole(gap, width_px)
        and gap.from_px > HIGHEST * tip_px
        and not _reaches_end(gap, tip_px, width_px)
    ]
    paired = _paired([gap for gap in low if gap.z_px > APICAL * tip_px], width_px)
    holes = [
        gap
        for gap in low
        if (gap.from_px > bore_end_px and (gap.z_px > APICAL * tip_px or bore_end_px > 0))
        or gap in paired
    ]
    return tuple((_as_vent(gap, tip_px), gap.t_px) for gap in _one_per_height(holes))


def _paired(gaps: list[Gap], width_px: float) -> list[Gap]:
    """Dark places that lie opposite each other, clear of the axis."""
    clear = [gap for gap in gaps if abs(gap.t_px) > OFF_AXIS * width_px]
    pairs = [
        pair
        for pair in combinations(clear, 2)
        if pair[0].t_px * pair[1].t_px < 0
        and abs(pair[0].z_px - pair[1].z_px) < PAIRED * width_px
        and abs(pair[0].t_px + pair[1].t_px) < PAIRED * width_px
    ]
    return [gap for pair in pairs for gap in pair]


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


def band_vents(
    band: Band | None, gaps: GapMap, *, tip_px: float, opened: float
) -> tuple[tuple[Vent, float], ...]:
    """A hole of which only a dark band across the body is seen; on the axis.

    `opened`: from `open_end_probability`. The upper end of a hollow is a band too, but a faint one.
    """
    if band is None or gaps.faint or (opened > HOLLOW and band.darkness < DARK_IN_HOLLOW):
        return ()
    blur = 1.5
    height = 2 * band.half_height_px
    why = "only a dark band across the body is seen, so how wide the hole is cannot be told"
    # about half were holes at the lower likeness, nearly all at the upper (simulated)
    certainty = float(np.interp(band.likeness, (0.94, 0.97), (0.5, 0.93)))
    vent = Vent(
        "band",
        NotMeasured(why),
        Measured(height, 0.18 * height + blur, "px"),
        Measured(tip_px - band.z_px, 0.02 * tip_px + blur, "px"),
        band.darkness / gaps.noise,
        certainty,
    )
    return ((vent, 0.0),)


def vents_finding(
    vents: tuple[Vent, ...], gaps: GapMap, *, band: Band | None, perforated: bool
) -> Finding:
    """Present, absent (weakly: a hole may be turned away) or not assessable.

    `perforated`: rows of holes were found, among which a lone one cannot be told.
    """
    if gaps.faint:
        return Finding("not assessable", 1.0, "the body is burnt out or too faint to look inside")
    if perforated:
        why = "among the rows of holes through the hollow end a lone hole cannot be told"
        return Finding("not assessable", 1.0, why)
    if vents:
        probability = max(vent.probability for vent in vents)
        return Finding("present", probability, _band_words(vents, band))
    return Finding("absent", 0.9, "no hole is seen; one across the beam may not show")


def _band_words(vents: tuple[Vent, ...], band: Band | None) -> str:
    if band is None or vents[0].shape != "band":
        return ""
    if band.evenness < ASKEW:
        return "a dark band across the body, darkest in one part: a hole turned askew to the beam"
    return "a faint dark band right across the body: a hole seen from its side, not its opening"


def perforations_finding(
    strip: Strip, gaps: GapMap, *, tip_px: float, width_px: float, band: Band | None = None
) -> Finding:
    """Rows of small holes through the wall of a long hollow.

    The edges of one large hole into a hollow make dark spots too: a very dark `band` is that.
    """
    if gaps.faint:
        return Finding("not assessable", 1.0, "the body is burnt out or too faint to look inside")
    one_hole = band is not None and band.darkness > DARK_IN_HOLLOW
    if perforated(strip, gaps, tip_px=tip_px, width_px=width_px) and not one_hole:
        return Finding("present", 0.9)
    return Finding("absent", 0.9)


def perforated(strip: Strip, gaps: GapMap, *, tip_px: float, width_px: float) -> bool:
    """Dark spots in a body whose lower part is hollow from well above to its end."""
    hollow = any(
        gap.from_px < LONG_HOLLOW[0] * tip_px
        and gap.to_px > LONG_HOLLOW[1] * tip_px
        and gap.width_px > 0.35 * width_px
        for gap in gaps.gaps
    )
    return hollow and _spots(strip, gaps, tip_px=tip_px, width_px=width_px) >= LEAST_SPOTS


def _spots(strip: Strip, gaps: GapMap, *, tip_px: float, width_px: float) -> int:
    return count_spots(strip, gaps, width_px=width_px, from_px=0.5 * tip_px)


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
