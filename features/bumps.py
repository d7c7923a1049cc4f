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
# of the noise: grey a px at walls that are seen row by row; pictures of noise reach 0.3, of 700
# simulated films none stays below 2
CLEAR = 1.0
ENDS = 0.08  # of the length: so near an end, a rim or a rounding stands out like a turn
HALF = 0.5  # of a turn: no root is farther from its nearest on the other wall


def bump_at(outline: Outline, side: float, z_px: float, *, roots: bool) -> float | None:
    """Distance from the axis of the line over the crests, or roots, near a height, px.

    None where fewer than two crests or roots stand out on either wall, or none near enough.
    """
    reach = AROUND * outline.typical_width_px
    rows = outline.between(z_px - reach, z_px + reach)
    mine, other = (_bumps(outline, s, rows, roots=roots) for s in (side, -side))
    z, distance = mine
    if min(len(z), len(other[0])) >= FEWEST:
        among = z.min() <= z_px <= z.max()
        near = float(np.min(np.abs(z - z_px))) <= BESIDE * outline.typical_width_px
        if among or near:
            return float(np.interp(z_px, z, distance))
    return None


def roots_beside(outline: Outline, z_px: float) -> tuple[float, float] | None:
    """Left and right distance from the axis of a line from root to root over a height, px.

    However far from it the roots are, as beside a plain band between two threads: both walls narrow
    above and below it and come out again. On 206 simulated bodies without thread none does.
    """
    walls = _all_roots(outline)
    if any(not len(z) or not z.min() < z_px < z.max() for z, _ in walls):
        return None
    left, right = (float(np.interp(z_px, *roots)) for roots in walls)
    return left, right


def roots_stagger(outline: Outline) -> tuple[float, float] | None:
    """How far one wall's roots stand off the other's, in turns, and the std of that.

    0 where they stand level, as those of rings do, a half where each faces a crest, as in a thread
    of one start. None where too few stand out to tell how far apart they are. However unevenly they
    follow each other: every root is held to the nearest on the other wall.
    """
    left, right = (z for z, _ in _all_roots(outline))
    if min(len(left), len(right)) < FEWEST:
        return None
    turn = float(np.median(np.concatenate([np.diff(left), np.diff(right)])))
    beside = right[(right > left[0] - HALF * turn) & (right < left[-1] + HALF * turn)]
    if len(beside) < FEWEST:
        return None
    off = np.abs(beside[:, None] - left).min(axis=1) / turn
    off = np.minimum(off, HALF)
    return float(off.mean()), float(off.std() / np.sqrt(len(off)))


def _all_roots(outline: Outline) -> list[tuple[Floats, Floats]]:
    """Roots of the left and the right wall, but near the ends; none where the walls are noise."""
    strength = np.concatenate([outline.strength_left, outline.strength_right])
    if float(np.median(strength)) < CLEAR * outline.noise:
        return [(np.empty(0), np.empty(0))] * 2
    length = float(np.ptp(outline.z_px))
    rows = outline.between(outline.z_px[0] + ENDS * length, outline.z_px[-1] - ENDS * length)
    return [_bumps(outline, side, rows, roots=True) for side in (-1.0, 1.0)]


def _bumps(
    outline: Outline, side: float, rows: NDArray[np.bool_], *, roots: bool
) -> tuple[Floats, Floats]:
    """Heights and distances of the bumps of one wall among some rows."""
    z, step = outline.z_px[rows], outline.z_px[1] - outline.z_px[0]
    edge = (outline.right_px if side > 0 else outline.left_px)[rows]
    smooth = ndimage.gaussian_filter1d(edge, SMOOTH_PX / step, mode="nearest")
    least = max(STANDS_OUT * outline.typical_width_px, STANDS_OUT_PX)
    found, _ = signal.find_peaks(-smooth if roots else smooth, prominence=least)
    return z[found], smooth[found]
