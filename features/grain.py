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
SOFTER, SOFTER_PX = 1.18, 0.05  # an even surface stays within (simulated smooth bodies)
REACH, FARTHEST_PX = 2.7, 4.0  # of the added blur: grains' tops over the middle (simulated)
GRAIN_STD, LOCAL_STD = 0.45, 2.0  # of that reach; of blur that only one height adds (simulated)


@dataclass(frozen=True, slots=True)
class Grain:
    """Blur at the collar and what the body's surface adds to it, px; 0 where nothing is told."""

    collar_blur_px: float = 0.0
    added_px: float = 0.0

    def reach_px(self, blur_px: float) -> tuple[float, float]:
        """How far grains reach beyond an edge of such blur, and the std of that, px."""
        here = _added(blur_px, self.collar_blur_px)
        if not here:
            return 0.0, 0.0
        if not self.added_px:
            return 0.0, LOCAL_STD * here
        reach = min(REACH * self.added_px, FARTHEST_PX)
        return reach, GRAIN_STD * reach


NO_GRAIN = Grain()


def find_grain(strip: Strip, outline: Outline) -> Grain:
    """Compare the body's edges with its collar's."""
    collar = _blurs(strip, outline, COLLAR)
    body = _blurs(strip, outline, BODY)
    if not collar or not body:
        return NO_GRAIN
    sharpest = float(np.median(collar))
    return Grain(sharpest, _added(float(np.median(body)), sharpest))


def _added(blur_px: float, collar_px: float) -> float:
    """Blur beyond the collar's, in squares, where it clearly is."""
    if not collar_px or blur_px < SOFTER * collar_px + SOFTER_PX:
        return 0.0
    return float(np.sqrt(blur_px**2 - collar_px**2))


def _blurs(strip: Strip, outline: Outline, shares: tuple[float, ...]) -> list[float]:
    length, found = strip.axis.length_px, []
    for share in shares:
        rows = (share - HALF_ROW) * length, (share + HALF_ROW) * length
        for side in (-1.0, 1.0):
            line = straight_line(outline, side, *rows)
            edge = chord_along(strip, side, line, rows) if line else None
            if edge and edge.offset_px:
                found.append(edge.blur_px)
    return found
