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
CUT = 0.4  # of the usual height: a lower turn was cut by a flute or is not there at all


@dataclass(frozen=True, slots=True, eq=False)
class Turns:
    """Heights of one wall's crests, or roots, and how far from the axis the outline has them, px."""

    z_px: Floats
    outline_px: Floats

    def at(self, z_px: float) -> tuple[float, float]:
        """Distance from the axis at one height by the turns near it, and its std, px."""
        near = np.argsort(np.abs(self.z_px - z_px))[:NEAR]
        z, here = self.z_px[near], self.outline_px[near]
        fit = stats.siegelslopes(here, z)
        left = np.abs(here - fit.slope * z - fit.intercept)
        one = max(1.4826 * float(np.median(left)), ONE_TURN_STD_PX)
        beyond = (z_px - float(z.mean())) / max(float(z.std()), 1e-6)
        value = float(fit.slope * z_px + fit.intercept)
        return value, one * float(np.sqrt((1 + min(beyond**2, 4.0)) / len(z)))

    def off_line(self, z_px: Floats, line_px: Floats, from_px: float, to_px: float) -> float:
        """How far the turns between two heights stand off a line, by their median, px."""
        off = self.outline_px - np.interp(self.z_px, z_px, line_px)
        inside = (self.z_px >= from_px) & (self.z_px <= to_px)
        return float(np.median(off[inside] if inside.sum() > 1 else off))

    def reaches(self, z_px: float, beyond_px: float) -> bool:
        """Whether a height lies among the turns, or no farther than so much beyond them."""
        return bool(self.z_px.min() - beyond_px <= z_px <= self.z_px.max() + beyond_px)


@dataclass(frozen=True, slots=True, eq=False)
class TurnedWall:
    """The turns of one wall."""

    crests: Turns
    roots: Turns

    @property
    def depth_px(self) -> float:
        """Usual height of a turn on the outline."""
        return float(np.median(self.crests.outline_px) - np.median(self.roots.outline_px))


def find_turns(
    outline: Outline, side: float, crests_px: tuple[float, ...], pitch_px: float
) -> TurnedWall | None:
    """Crests of one wall and the roots between them; None where fewer than two are on the film."""
    edge = outline.right_px if side > 0 else outline.left_px
    told = []
    for height in crests_px:
        for place, share in ((height, 92), (height + 0.5 * pitch_px, 8)):
            rows = outline.between(place - REACH * pitch_px, place + REACH * pitch_px)
            if rows.sum() >= 3:
                told.append((place, float(np.percentile(edge[rows], share)), share))
    if len(told) < 4:
        return None
    return _uncut(*np.array(told).T)


def _uncut(z: Floats, distance: Floats, share: Floats) -> TurnedWall | None:
    """Crests and roots without those that hardly stand off their neighbours."""
    before, after = np.r_[distance[1], distance[:-1]], np.r_[distance[1:], distance[-2]]
    is_crest = share > 50
    height = np.where(is_crest, 1, -1) * (distance - (before + after) / 2)
    whole = height >= CUT * np.median(height)
    crests, roots = (kind & whole for kind in (is_crest, ~is_crest))
    if min(crests.sum(), roots.sum()) < 2:
        return None
    return TurnedWall(Turns(z[crests], distance[crests]), Turns(z[roots], distance[roots]))
