"""A grained surface: beads or pores roughen a wall and hide its outer reach.

Between grains the beam passes, so the edge is spread over the grains' height and the chord model
finds its middle. From row to row it comes and goes with them, however even the wall is; how far it
does tells how far they reach. Blur tells less: a film's own is as great, and no collar of its own
may be long enough to show that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from features.outline import Outline
from features.smooth_wall import chord_along, straight_line
from features.strip import Strip

COLLAR, BODY = (0.035, 0.06), (0.25, 0.85)  # of the length: where edges are even, and grained
HALF_ROW = 0.03  # of the length
SOFTER, SOFTER_PX = 1.15, 0.05  # an even surface's blur stays within (simulated smooth bodies)
SHARP = 25  # percentile of the collar's edges: grains may begin within it
LOCAL_STD = 2.0  # of blur that one height adds (simulated)
GRAIN_PX, COARSE_PX = 4.0, 8.0  # courses that grains stray from; what strays from the second …
FINE, COARSE = 1.75, 2.05  # … by so many times as much weaves too slowly: turns (simulated)
NOISE = 0.7  # of the noise over the wall's strength: what that alone makes an edge stray
# px, how far an edge strays: an even one, and a grained one (some 200 and 40 simulated bodies)
EVEN_PX, GRAINED_PX = 0.17, 0.23
SPARED, GRAINED = 0.3, 0.6  # of the body's: a height on a smooth collar, and on a grained surface
# px, and of how far the edge strays: grains' tops over the middle; and its std (simulated)
LEAST_PX, REACH, REACH_STD_PX = 1.0, 5.7, 0.6


@dataclass(frozen=True, slots=True)
class Grain:
    """Blur at the collar, how far the body's edge strays from row to row, and grains' reach, px.

    `reach_px` and `std_px` are 0 where the surface is even.
    """

    collar_blur_px: float = 0.0
    astray_px: float = 0.0
    reach_px: float = 0.0
    std_px: float = 0.0

    def reach_at(self, blur_px: float, astray_px: float) -> tuple[float, float]:
        """How far grains reach beyond an edge of such blur that strays so, and its std, px."""
        if not self.reach_px:
            return 0.0, LOCAL_STD * _added(blur_px, self.collar_blur_px)
        here = _between(astray_px / self.astray_px, SPARED, GRAINED)
        unsure = self.reach_px * np.sqrt(here * (1 - here))
        return here * self.reach_px, float(np.hypot(here * self.std_px, unsure))


NO_GRAIN = Grain()


def find_grain(strip: Strip, outline: Outline, *, turns: bool = False) -> Grain:
    """How the body's edges stray, beyond what noise makes them; `turns`: it is those that do."""
    length = strip.axis.length_px
    collar = [blur for share in COLLAR for blur in _blurs(strip, outline, share)]
    if not collar:
        return NO_GRAIN
    sharp = float(np.percentile(collar, SHARP))
    body = BODY[0] * length, BODY[1] * length
    rows = outline.between(*body)
    strength = np.median([outline.strength_left[rows], outline.strength_right[rows]])
    both, coarse = (
        float(np.mean([astray_px(outline, side, *body, course_px=px) for side in (-1.0, 1.0)]))
        for px in (GRAIN_PX, COARSE_PX)
    )
    noise = NOISE * outline.noise / max(float(strength), 1e-9)
    stray = float(np.sqrt(max(both**2 - noise**2, 0.0)))
    sure = _between(stray, EVEN_PX, GRAINED_PX)
    sure *= 0.0 if turns else 1.0 - _between(coarse / max(both, 1e-9), FINE, COARSE)
    reach = LEAST_PX + REACH * stray
    std = np.hypot(sure * REACH_STD_PX, reach * np.sqrt(sure * (1 - sure)))
    return Grain(sharp, both, sure * reach, float(std))


def astray_px(
    outline: Outline, side: float, from_px: float, to_px: float, *, course_px: float = GRAIN_PX
) -> float:
    """How far a wall strays from its own course, so smooth, between two heights, px."""
    wall = outline.right_px if side > 0 else outline.left_px
    step = outline.z_px[1] - outline.z_px[0]
    course = ndimage.gaussian_filter1d(wall, course_px / step, mode="nearest")
    off = np.abs(wall - course)[outline.between(from_px, to_px)]
    return 1.4826 * float(np.median(off)) if len(off) else 0.0


def _between(value: float, low: float, high: float) -> float:
    return float(np.clip((value - low) / (high - low), 0.0, 1.0))


def _added(blur_px: float, collar_px: float) -> float:
    """Blur beyond the collar's, in squares, where it clearly is."""
    if not collar_px or blur_px < SOFTER * collar_px + SOFTER_PX:
        return 0.0
    return float(np.sqrt(blur_px**2 - collar_px**2))


def _blurs(strip: Strip, outline: Outline, share: float) -> list[float]:
    """Blur of either wall at a share of the length, where it could be fitted."""
    length, found = strip.axis.length_px, []
    rows = (share - HALF_ROW) * length, (share + HALF_ROW) * length
    for side in (-1.0, 1.0):
        line = straight_line(outline, side, *rows)
        edge = chord_along(strip, side, line, rows) if line else None
        if edge and edge.offset_px:
            found.append(edge.blur_px)
    return found
