"""Where the bone begins beside the implant. A measurement, not a diagnosis."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.strip import Strip

Floats = NDArray[np.float64]

BAND = (0.12, 0.35)  # of the half width, outward from the metal
METAL = 0.3  # of the body's contrast: brighter than this beside it is another part of it
LEAST_ROWS = 10
LEAST_STEP = 0.006  # grey between the brightest gum and the darkest bone


def crest_height(
    strip: Strip,
    outline: Outline,
    *,
    side: float,
    platform: Measured,
    rim_px: float,
    metal: float,
) -> Quantity:
    """Platform to the bone crest along one wall, px (positive toward the apex).

    Parameters
    ----------
    strip, outline
    side : {-1.0, 1.0}
    platform : Measured in px
    rim_px : float
        Distance of the platform's rim from the axis, about.
    metal : float
        Grey above which something beside the body is another part of it (`metal_grey`).
    """
    half = outline.typical_width_px / 2
    z, band = _beside(strip, outline, side, platform.value, rim_px)
    clear = band.max(axis=1) < metal
    z, grey = z[clear], band[clear].mean(axis=1)
    if len(grey) < LEAST_ROWS:
        return NotMeasured("no bone is seen beside this wall, only metal")
    smooth = ndimage.gaussian_filter1d(grey, 0.04 * half / strip.step_px + 0.5)
    row, apart = _parting(smooth)
    if apart < LEAST_STEP or float(z[row]) > 0.45 * strip.axis.length_px:
        return NotMeasured("no clear bone crest is seen beside this wall")
    height = float(z[row] - platform.value)
    return from_parts(height, "px", **parts_of(platform), crest=0.03 * half + 1.5)


def metal_grey(beside: float, contrast: float) -> float:
    """Grey of metal beside the body, from the grey there and how far the body stands out."""
    return beside + METAL * contrast


def _beside(
    strip: Strip, outline: Outline, side: float, platform_px: float, rim_px: float
) -> tuple[Floats, Floats]:
    """Heights, (Z,), and the grey close beside the metal there, (Z, 12).

    Bone meets the implant where it is measured and rises within a millimetre, so the band is
    narrow; above a rim that overhangs, it lies beside the rim.
    """
    half = outline.typical_width_px / 2
    wall = outline.right_px if side > 0 else outline.left_px
    near = ndimage.maximum_filter1d(
        ndimage.median_filter(wall, 5), max(int(0.15 * half / strip.step_px), 1)
    )
    out = np.maximum(near, ndimage.median_filter(wall, max(len(wall) // 8, 3)))
    z = strip.z_px[strip.rows(platform_px - 1.2 * half, 0.6 * strip.axis.length_px)]
    edge = np.interp(z, outline.z_px, out)
    edge = np.where(z < platform_px + 0.12 * half, np.maximum(edge, rim_px), edge)
    offsets = np.linspace(BAND[0] * half, BAND[1] * half, 12)
    return z, strip.at(z[:, None], side * (edge[:, None] + offsets))


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
