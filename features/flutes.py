"""Cutting flutes: grooves of the apical third that make one side, or the middle, darker."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.finding import Finding
from features.gaps import TOO_FAINT, GapMap
from features.outline import Outline
from features.strip import Strip

Floats = NDArray[np.float64]

APICAL = (0.66, 0.93)  # of the length: where flutes are cut
SOUND = (0.35, 0.55)  # of the length: where none reaches, to compare with
LEAST = 0.09  # of the body's contrast: sound bodies mostly stay below 0.06 (simulated)
STEADY = 80  # percentile of the rows: a flute fills at least a fifth of the apical part


def flutes_finding(
    strip: Strip, outline: Outline, gaps: GapMap, *, tip_px: float, pitch_px: float, hollow: bool
) -> Finding:
    """Compare the sides, and the middle, of the apical third with the sound body above.

    Parameters
    ----------
    strip, outline, gaps
    tip_px : float
        Height of the apex.
    pitch_px : float
        Thread pitch, whose shading is averaged out; 0 where there is none.
    hollow : bool
        The body is an open basket: its thin wall shows no groove.
    """
    if gaps.faint:
        return Finding("not assessable", 1.0, TOO_FAINT)
    if hollow:
        return Finding("not assessable", 1.0, "a groove does not show on an open basket")
    half = outline.width_between(0.62 * tip_px, 0.9 * tip_px) / 2
    along = max(0.6 * pitch_px, 0.02 * tip_px) / strip.step_px
    left, middle, right = (
        ndimage.gaussian_filter1d(_columns(strip, half, part), along) / gaps.contrast
        for part in ((-0.75, -0.3), (-0.25, 0.25), (0.3, 0.75))
    )
    if (
        _one_side(strip, left - right, tip_px) > LEAST
        or _middle(strip, half, (left + right) / 2 - middle, gaps, tip_px) > LEAST
    ):
        return Finding("present", 0.8)
    # of simulated flutes about a third shows: at even odds, not seen leaves 0.6 for none
    return Finding("absent", 0.6, "a flute turned away from the beam does not show")


def _columns(strip: Strip, half: float, part: tuple[float, float]) -> Floats:
    """Mean grey across a part of the half width, (Z,)."""
    columns = strip.columns(part[0] * half, part[1] * half)
    return np.asarray(strip.pixels[:, columns].mean(axis=1))


def _one_side(strip: Strip, unlike: Floats, tip_px: float) -> float:
    """How unlike the two sides are, against how unlike they are where no flute reaches."""
    unlike = unlike - np.median(unlike[strip.rows(SOUND[0] * tip_px, SOUND[1] * tip_px)])
    return float(np.percentile(np.abs(unlike[_rows(strip, tip_px)]), STEADY))


def _middle(strip: Strip, half: float, dip: Floats, gaps: GapMap, tip_px: float) -> float:
    """How much darker the middle is than the sides, in rows that no hole crosses."""
    whole = np.ones(len(dip), dtype=bool)
    for gap in gaps.gaps:
        if gap.to_px < APICAL[1] * tip_px:  # a flute runs on to the end; a hole is closed below
            whole[strip.rows(gap.from_px - 0.3 * half, gap.to_px + 0.3 * half)] = False
    rows = _rows(strip, tip_px)
    seen = dip[rows][whole[rows]]
    return float(np.percentile(seen, STEADY)) if len(seen) > 0.4 * len(dip[rows]) else 0.0


def _rows(strip: Strip, tip_px: float) -> slice:
    return strip.rows(APICAL[0] * tip_px, APICAL[1] * tip_px)
