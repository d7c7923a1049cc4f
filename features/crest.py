"""Where the bone begins beside the implant. A measurement, not a diagnosis."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.finding import Finding
from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity
from features.strip import Strip

Floats = NDArray[np.float64]


def crest_height(strip: Strip, outline: Outline, *, side: float, platform_px: float) -> Quantity:
    """Platform to the bone crest along one wall, px (positive toward the apex).

    Parameters
    ----------
    strip, outline
    side : {-1.0, 1.0}
    platform_px : float
    """
    half = float(np.median(outline.width_px)) / 2
    wall = outline.right_px if side > 0 else outline.left_px
    rows = strip.rows(platform_px - 1.2 * half, 0.8 * strip.axis.length_px)
    z = strip.z_px[rows]
    edge = np.interp(z, outline.z_px, ndimage.median_filter(wall, max(len(wall) // 8, 3)))
    offsets = np.linspace(0.35 * half, 0.75 * half, 12)
    grey = strip.at(z[:, None] + 0 * offsets, side * (edge[:, None] + offsets)).mean(axis=1)
    smooth = ndimage.gaussian_filter1d(grey, 0.12 * half / strip.step_px + 1.0)
    first = _up_from_bone(smooth, z > 0.4 * strip.axis.length_px, int(0.25 * half / strip.step_px))
    if first is None:
        return NotMeasured("no clear bone crest is seen beside this wall")
    return Measured(float(z[first] - platform_px), float(0.2 * half + 1.0), "px")


def _up_from_bone(grey: Floats, deep: NDArray[np.bool_], run: int) -> int | None:
    """Going up from rows surely in bone, the first row under which bone ends for good."""
    if deep.sum() < 10:
        return None
    bone = float(np.median(grey[deep]))
    texture = 1.4826 * float(np.median(np.abs(grey[deep] - bone)))
    dark = grey < bone - max(3.0 * texture, 0.04)
    steady = ndimage.binary_opening(dark, structure=np.ones(max(run, 3)))
    rows = np.flatnonzero(steady & ~deep)
    return int(rows[-1]) if len(rows) else None


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
