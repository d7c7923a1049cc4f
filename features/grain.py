"""A grained surface: beads or pores soften a wall's edge and hide its outer reach.

Between grains the beam passes, so the edge is spread over the grains' height and the chord model
finds its middle. How much softer the body's edge is than its collar's tells how far they reach.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from features.outline import Outline
from features.smooth_wall import chord_along, straight_line
from features.strip import Strip

COLLAR, BODY = (0.035, 0.06), (0.45, 0.6, 0.75)  # of the length: where the edges are compared
HALF_ROW = 0.03  # of the length
SOFTER, SOFTER_PX = 1.15, 0.05  # an even surface stays within (simulated smooth bodies)
ALL_OVER = 1.05  # grains soften every height; a hole or a flute spares some (simulated)
SHARP = 25  # percentile of the collar's edges: grains may begin within it
REACH, FARTHEST_PX = 2.7, 4.0  # of the added blur: grains' tops over the middle (simulated)
GRAIN_STD, LOCAL_STD = 0.45, 2.0  # of that reach; of blur that only one height adds (simulated)


@dataclass(frozen=True, slots=True)
class Grain:
    """Blur at the collar and what the body's surface adds to it, px; 0 where nothing is told."""

    collar_blur_px: float = 0.0
    added_px: float = 0.0

    def reach_px(self, blur_px: float) -> tuple[float, float]:
        """How far grains reach beyond an edge of such blur, and the std of that, px."""
        if not self.added_px:
            return 0.0, LOCAL_STD * _added(blur_px, self.collar_blur_px)
        if blur_px < ALL_OVER * self.collar_blur_px + SOFTER_PX:
            return 0.0, 0.0  # a smooth collar
        reach = min(REACH * self.added_px, FARTHEST_PX)
        return reach, GRAIN_STD * reach


NO_GRAIN = Grain()


def find_grain(strip: Strip, outline: Outline) -> Grain:
    """Compare the body's edges with its collar's."""
    collar = [blur for share in COLLAR for blur in _blurs(strip, outline, share)]
    heights = [found for share in BODY if (found := _blurs(strip, outline, share))]
    if not collar or not heights:
        return NO_GRAIN
    sharp = float(np.percentile(collar, SHARP))
    sharpest = min(float(np.mean(found)) for found in heights)
    if sharpest < ALL_OVER * sharp + SOFTER_PX:
        return Grain(sharp)
    return Grain(sharp, _added(float(np.median(np.concatenate(heights))), sharp))


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
