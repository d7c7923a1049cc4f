"""Cutting flutes: grooves of the apical third that make one side darker.

One that faces the beam does not show: of 150 simulated bodies none was darker along its middle.
"""

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
LEAST = 0.08  # of the body's contrast: one sound body in fifty is above (simulated)
STEADY = 80  # percentile of the rows: a flute fills at least a fifth of the apical part


def flutes_finding(
    strip: Strip, outline: Outline, gaps: GapMap, *, tip_px: float, pitch_px: float, hollow: bool
) -> Finding:
    """Compare the sides of the apical third with those of the sound body above.

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
    left, right = (
        ndimage.gaussian_filter1d(_columns(strip, half, part), along) / gaps.contrast
        for part in ((-0.75, -0.3), (0.3, 0.75))
    )
    if _one_side(strip, left - right, tip_px) > LEAST:
        return Finding("present", 0.8)
    # of simulated flutes hardly more than one in ten shows: not seen says little (a judgement)
    return Finding("absent", 0.6, "a flute turned away from the beam does not show")


def _columns(strip: Strip, half: float, part: tuple[float, float]) -> Floats:
    """Mean grey across a part of the half width, (Z,)."""
    columns = strip.columns(part[0] * half, part[1] * half)
    return np.asarray(strip.pixels[:, columns].mean(axis=1))


def _one_side(strip: Strip, unlike: Floats, tip_px: float) -> float:
    """How unlike the two sides are, against how unlike they are where no flute reaches."""
    unlike = unlike - np.median(unlike[strip.rows(SOUND[0] * tip_px, SOUND[1] * tip_px)])
    return float(np.percentile(np.abs(unlike[_rows(strip, tip_px)]), STEADY))


def _rows(strip: Strip, tip_px: float) -> slice:
    return strip.rows(APICAL[0] * tip_px, APICAL[1] * tip_px)
