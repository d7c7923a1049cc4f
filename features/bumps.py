"""A wall that swells and narrows without a thread having been made out: its crests and its roots.

Two or three coarse turns, rings far apart or grains stand out too seldom or too unevenly for a
comb. An envelope runs over them all the same, and the core lies below.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, signal

from features.outline import Outline

Floats = NDArray[np.float64]

AROUND = 0.8  # body widths to either side: the coarsest turns known are some 1.2 widths tall
STANDS_OUT, STANDS_OUT_PX = 0.02, 2.5  # of the body width; less is bone texture (simulated)
SMOOTH_PX = 1.5
FEWEST = 2  # crests, and roots, of either wall
BESIDE = 0.2  # of the body width: so near, one bump speaks for a height alone


def bump_at(outline: Outline, side: float, z_px: float, *, roots: bool) -> float | None:
    """Distance from the axis of the line over the crests, or roots, near a height, px.

    None where fewer than two crests or roots stand out on either wall, or none near enough.
    """
    mine, other = (_bumps(outline, s, z_px, roots=roots) for s in (side, -side))
    if min(len(mine[0]), len(other[0])) < FEWEST:
        return None
    z, distance = mine
    among = z.min() <= z_px <= z.max()
    near = float(np.min(np.abs(z - z_px))) <= BESIDE * outline.typical_width_px
    return float(np.interp(z_px, z, distance)) if among or near else None


def _bumps(outline: Outline, side: float, z_px: float, *, roots: bool) -> tuple[Floats, Floats]:
    """Heights and distances of the bumps of one wall around a height."""
    width = outline.typical_width_px
    rows = outline.between(z_px - AROUND * width, z_px + AROUND * width)
    z, step = outline.z_px[rows], outline.z_px[1] - outline.z_px[0]
    edge = (outline.right_px if side > 0 else outline.left_px)[rows]
    smooth = ndimage.gaussian_filter1d(edge, SMOOTH_PX / step, mode="nearest")
    least = max(STANDS_OUT * width, STANDS_OUT_PX)
    found, _ = signal.find_peaks(-smooth if roots else smooth, prominence=least)
    return z[found], smooth[found]
