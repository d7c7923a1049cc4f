"""Whether a channel ends in a drill's point: then nothing narrower goes on below it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.strip import Strip

Floats = NDArray[np.float64]

# All parts of the channel's width. The dip of a 118° point is half gone 0.15 below its wall on the
# axis, 0.07 there seven tenths of the way to the wall (derived); on a flat floor, tilted or not,
# everywhere at one height.
ABOVE = (0.4, 0.1)  # where the channel's own dip is taken, above its end
BELOW = (0.25, 0.55)  # above and below its end: where the dip falls
AXIS, SIDE = (0.0, 0.125), (0.3, 0.4)  # from the axis
POINTED = (0.07, 0.16)  # how much lower the axis is half gone (simulated; derived: 0.08)
GONE = 0.06  # of the dip above: more at the bottom, and something goes on (simulated)
FEWEST_ROWS = 6


def ends_in_a_point(strip: Strip, sharp: Floats, end_px: float, width_px: float) -> bool:
    """Whether the floor below a parallel end is a drill's cone.

    Parameters
    ----------
    strip
    sharp : (Z, T) array
        As from `sharp_dip`.
    end_px, width_px : float
        Where the channel's parallel part ends, and its width.
    """
    rows = strip.rows(end_px - BELOW[0] * width_px, end_px + BELOW[1] * width_px)
    if rows.stop - rows.start < FEWEST_ROWS:
        return False
    axis, tail = _half_gone(strip, sharp, end_px, width_px, AXIS)
    side, _ = _half_gone(strip, sharp, end_px, width_px, SIDE)
    return bool(POINTED[0] < (axis - side) / width_px < POINTED[1] and tail < GONE)


def _half_gone(
    strip: Strip, sharp: Floats, end_px: float, width_px: float, aside: tuple[float, float]
) -> tuple[float, float]:
    """Height at which half of the dip so far from the axis is gone, and its share at the bottom."""
    above = strip.rows(end_px - ABOVE[0] * width_px, end_px - ABOVE[1] * width_px)
    below = strip.rows(end_px - BELOW[0] * width_px, end_px + BELOW[1] * width_px)
    near, far = (share * width_px for share in aside)
    sides = strip.columns(near, far), strip.columns(-far, -near)
    along = np.mean([sharp[:, side].mean(axis=1) for side in sides], axis=0)
    level = max(float(np.percentile(along[above], 60)), 1e-6)
    share = ndimage.gaussian_filter1d(along[below], 1.0 / strip.step_px) / level
    seen = np.flatnonzero(share > 0.5)
    last = float(strip.z_px[below][seen[-1]]) if len(seen) else float(strip.z_px[below][0])
    return last, float(share[-max(3, len(share) // 6) :].mean())
