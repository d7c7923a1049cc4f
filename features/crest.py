"""Where the bone begins beside the implant. A measurement, not a diagnosis."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.finding import Finding
from features.outline import Outline
from features.quantity import NotMeasured, Quantity, from_parts
from features.strip import Strip

Floats = NDArray[np.float64]

LEAST_STEP = 0.008  # grey between the brightest gum and the darkest bone


def crest_height(strip: Strip, outline: Outline, *, side: float, platform_px: float) -> Quantity:
    """Platform to the bone crest along one wall, px (positive toward the apex).

    Parameters
    ----------
    strip, outline
    side : {-1.0, 1.0}
    platform_px : float
    """
    half = outline.typical_width_px / 2
    wall = outline.right_px if side > 0 else outline.left_px
    rows = strip.rows(platform_px - 1.2 * half, 0.8 * strip.axis.length_px)
    z = strip.z_px[rows]
    edge = np.interp(z, outline.z_px, ndimage.median_filter(wall, max(len(wall) // 8, 3)))
    offsets = np.linspace(0.35 * half, 0.75 * half, 12)
    grey = strip.at(z[:, None] + 0 * offsets, side * (edge[:, None] + offsets)).mean(axis=1)
    smooth = ndimage.gaussian_filter1d(grey, 0.06 * half / strip.step_px + 0.5)
    row, apart = _parting(smooth[z < 0.6 * strip.axis.length_px])
    if apart < LEAST_STEP or float(z[row]) > 0.45 * strip.axis.length_px:
        return NotMeasured("no clear bone crest is seen beside this wall")
    return from_parts(float(z[row] - platform_px), "px", crest=0.12 * half + 1.5)


def _parting(grey: Floats) -> tuple[int, float]:
    """The row that parts the profile best: all below it brighter than all above it.

    Gum brightens slowly and bone texture swings, but below the crest the grey never falls back to
    that of gum.
    """
    above = np.maximum.accumulate(grey)[:-1]
    below = np.minimum.accumulate(grey[::-1])[::-1][1:]
    apart = below - above
    best = int(apart.argmax())
    return best, float(apart[best])


def steps_finding(outline: Outline, *, tip_px: float, threaded: bool) -> Finding:
    """Sudden changes of diameter along a smooth body."""
    if threaded:
        return Finding("not assessable", 1.0, "a thread hides small steps of the body")
    rows = outline.between(0.12 * tip_px, 0.9 * tip_px)
    width = ndimage.median_filter(outline.width_px[rows], size=max(int(rows.sum() // 20) | 1, 3))
    drop = -np.gradient(ndimage.gaussian_filter1d(width, max(len(width) / 80, 1.0)))
    typical = float(np.median(np.abs(drop))) + 1e-3
    peaks = ndimage.label(drop > max(8 * typical, 0.004 * float(np.median(width))))[1]
    lost = float(width[:5].mean() - width[-5:].mean()) / float(np.median(width))
    if peaks >= 2 and lost > 0.08:
        return Finding("present", 0.75)
    return Finding("absent", 0.85)
