"""Crests and roots turn by turn, so that a width is that of its own height.

The mean turn (`thread_cell`) tells how far blur has drawn the outline's crests in; where each turn
lies is read off the outline itself, near the height that is asked for. A neck that flares, or a
core that tapers, then spoils only the turns it reaches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from features.outline import Outline

Floats = NDArray[np.float64]

REACH = 0.35  # of a pitch to either side: where a turn's crest or root is looked for
NEAR = 5  # turns that speak for one height


@dataclass(frozen=True, slots=True, eq=False)
class Turns:
    """Heights of one wall's turns and how far from the axis the outline stands there, px."""

    z_px: Floats
    outline_px: Floats

    def at(self, z_px: float) -> tuple[float, float]:
        """Distance at a height from the nearest turns, and their scatter about it, px."""
        order = np.argsort(np.abs(self.z_px - z_px))[:NEAR]
        z, edge = self.z_px[order], self.outline_px[order]
        if len(z) < 3:
            return float(np.median(edge)), float(np.std(edge))
        fit = stats.siegelslopes(edge, z)
        left = edge - fit.slope * z - fit.intercept
        scatter = 1.4826 * float(np.median(np.abs(left)))
        return float(fit.slope * z_px + fit.intercept), scatter / np.sqrt(len(z))


def find_turns(
    outline: Outline, side: float, crests_px: tuple[float, ...], pitch_px: float, *, roots: bool
) -> Turns | None:
    """Crests of one wall, or the roots between them; None where fewer than two are on the film."""
    edge = outline.right_px if side > 0 else outline.left_px
    heights = np.array(crests_px) + (0.5 * pitch_px if roots else 0.0)
    told = []
    for height in heights:
        rows = outline.between(height - REACH * pitch_px, height + REACH * pitch_px)
        if rows.sum() >= 3:
            told.append((height, float(np.percentile(edge[rows], 8 if roots else 92))))
    if len(told) < 2:
        return None
    z, distance = np.array(told).T
    return Turns(z, distance)
