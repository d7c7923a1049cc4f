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
ONE_TURN_STD_PX = 0.5
CLEARLY = 2.5  # standard deviations


@dataclass(frozen=True, slots=True, eq=False)
class Turns:
    """Heights of one wall's turns and how far from the axis the outline stands there, px."""

    z_px: Floats
    outline_px: Floats

    def off_line(self, outline: Outline, line_px: Floats, z_px: float) -> tuple[float, float]:
        """How far the turns near a height stand off the wall's smooth line, against all turns.

        0 unless they clearly do: one turn is known to half a pixel, the line far better.

        Returns
        -------
        off, std : float
            In px.
        """
        height = self.outline_px - np.interp(self.z_px, outline.z_px, line_px)
        height = height - np.median(height)
        near = np.argsort(np.abs(self.z_px - z_px))[:NEAR]
        z, here = self.z_px[near], height[near]
        fit = stats.siegelslopes(here, z) if len(z) > 2 else None
        off = float(fit.slope * z_px + fit.intercept) if fit else float(np.median(here))
        left = here - fit.slope * z - fit.intercept if fit else here - off
        std = max(1.4826 * float(np.median(np.abs(left))), ONE_TURN_STD_PX) / np.sqrt(len(z))
        return (off if abs(off) > CLEARLY * std else 0.0), float(std)


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
