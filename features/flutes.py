"""Cutting flutes: a notch in the apical third that one side shows and the other does not."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from features.finding import Finding
from features.gaps import FAINT, GapMap
from features.outline import Outline
from features.strip import Strip

LEAST = 0.16  # of the body's contrast, between the two sides
LEAST_HEIGHT = 0.08  # of the length


def flutes_finding(strip: Strip, outline: Outline, gaps: GapMap, *, tip_px: float) -> Finding:
    """Compare the two sides of the apical third with each other."""
    if gaps.contrast < FAINT:
        return Finding("not assessable", 1.0, "the body is burnt out or too faint to look inside")
    rows = strip.rows(0.62 * tip_px, 0.95 * tip_px)
    half = float(np.median(outline.width_px[outline.between(0.62 * tip_px, 0.9 * tip_px)])) / 2
    left = strip.pixels[rows, strip.columns(-0.8 * half, -0.35 * half)].mean(axis=1)
    right = strip.pixels[rows, strip.columns(0.35 * half, 0.8 * half)].mean(axis=1)
    unlike = np.abs(left - right) / gaps.contrast
    unlike = np.abs(unlike - np.median(unlike))
    steady = ndimage.gaussian_filter1d(unlike, 0.02 * tip_px / strip.step_px)
    tall = float((steady > LEAST).sum() * strip.step_px / tip_px)
    if tall > LEAST_HEIGHT:
        return Finding("present", 0.7)
    return Finding("absent", 0.65, "a flute turned away from the beam does not show")
