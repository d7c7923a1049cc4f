"""Where the bone begins beside the implant. A measurement, not a diagnosis."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, signal

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
    window = max(int(0.8 * half / strip.step_px), 6)
    rise = _step_up(grey, window)
    if len(rise) == 0 or rise.max() < 0.05:
        return NotMeasured("no clear bone crest is seen beside this wall")
    peaks, _ = signal.find_peaks(rise, height=0.6 * rise.max(), distance=window // 2)
    if len(peaks) == 0:
        return NotMeasured("no clear bone crest is seen beside this wall")
    place = float(z[peaks[0] + window])
    return Measured(place - platform_px, float(0.18 * half + 1.0), "px")


def _step_up(grey: Floats, window: int) -> Floats:
    """Mean of the window below less the mean of the window above, row by row."""
    total = np.concatenate([[0.0], np.cumsum(grey)])
    means = (total[window:] - total[:-window]) / window
    return means[window:] - means[:-window]


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
