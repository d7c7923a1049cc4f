"""A wall with a thread: the smooth line under it, its mean turns, and every single turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features.outline import Outline
from features.pitch import slow_course
from features.quantity import Measured
from features.strip import Strip
from features.thread_cell import Cell, fit_cell, fold
from features.threads import Thread
from features.turns import MeanTurn, Turns, joined, single_turns

Floats = NDArray[np.float64]

ENOUGH_TURNS = 4  # for one mean turn
BAND = 0.45  # of the deepest part's depth: a shallower part lies over a band without thread


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A part of the thread's zone, (from, to) along the axis, and its mean turn as fitted."""

    from_px: float
    to_px: float
    cell: Cell

    def away_px(self, z_px: float) -> float:
        """How far a height lies outside, negative inside."""
        return max(self.from_px - z_px, z_px - self.to_px)


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """One wall: the smooth line it follows and, where there is a thread, crest and root.

    A thread may change on its way to the apex, so there may be two `parts`; `crests`, `roots` are
    where they stand turn by turn.
    """

    side: float
    line_px: Floats
    parts: tuple[Part, ...] = ()
    crests: Turns | None = None
    roots: Turns | None = None

    @property
    def whole_parts(self) -> list[Part]:
        """Without a part that lies over a band between threads."""
        deepest = max((part.cell.depth_px for part in self.parts), default=0.0)
        return [part for part in self.parts if part.cell.depth_px >= BAND * deepest]

    def cell_at(self, z_px: float) -> Cell | None:
        """The mean turn nearest to a height."""
        near = min(self.whole_parts, key=lambda part: part.away_px(z_px), default=None)
        return near.cell if near else None


def fit_wall(strip: Strip, outline: Outline, side: float, thread: Thread, shear: float) -> Wall:
    """Find the smooth line, the mean turns and the single turns of one wall.

    `shear`: how the thread climbs along the rays there (`wall_shears`).
    """
    edge = outline.right_px if side > 0 else outline.left_px
    crests = thread.crests_right_px if side > 0 else thread.crests_left_px
    if not thread.pitch_px:
        return Wall(side, edge)
    rows = outline.between(thread.from_px, thread.to_px)
    z, line = outline.z_px[rows], edge.copy()
    line[rows] = slow_course(z, edge[rows], thread.pitch_px.value)
    if not crests or float(np.ptp(z)) < 2 * thread.pitch_px.value:
        return Wall(side, line)
    comb = _Comb(strip, z, line[rows], side, thread.pitch_px, crests[0])
    return follow_turns(Wall(side, line, comb.fit(shear)), comb)


@dataclass(frozen=True, slots=True, eq=False)
class _Comb:
    """What all turns of one wall share."""

    strip: Strip
    z_px: Floats
    line_px: Floats
    side: float
    pitch: Measured
    crest_px: float

    @property
    def phase(self) -> float:
        """Phase of the crests, in turns."""
        return self.crest_px / self.pitch.value % 1.0

    def fold(self, part: NDArray[np.intp]) -> tuple[Floats, Floats]:
        """Mean turn of some of the rows."""
        pitch = self.pitch.value
        reach = max(0.55 * pitch, 0.14 * 2 * float(np.median(self.line_px)), 6.0)
        z, line = self.z_px[part], self.line_px[part]
        return fold(self.strip, z, line, side=self.side, pitch_px=pitch, reach_px=reach)

    def fit(self, shear: float) -> tuple[Part, ...]:
        """Crest and root, once for each part of the zone that holds enough turns."""
        pitch, parts = self.pitch.value, []
        many = float(np.ptp(self.z_px)) >= 2 * ENOUGH_TURNS * pitch
        for part in np.array_split(np.arange(len(self.z_px)), 2 if many else 1):
            grey, depth = self.fold(part)
            cell = fit_cell(grey, depth, pitch_px=pitch, phase=self.phase, shear=shear)
            last = min(part[-1] + 1, len(self.z_px) - 1)  # no turn is lost between two parts
            parts.append(Part(float(self.z_px[part[0]]), float(self.z_px[last]), cell))
        return tuple(parts)


def follow_turns(wall: Wall, comb: _Comb) -> Wall:
    """Lay each part's mean turn over its single turns; a band's turns are held to the other's."""
    whole = [part for part in wall.whole_parts if part.cell.crest_px and part.cell.root_px]
    found = []
    for part in wall.parts if whole else ():
        like = min(whole, key=lambda w: abs(w.from_px - part.from_px))
        rows = np.flatnonzero((comb.z_px >= like.from_px) & (comb.z_px <= like.to_px))
        crest, root = like.cell.crest_px, like.cell.root_px
        if not crest or not root:
            continue
        grey, depth = comb.fold(rows)
        mean = MeanTurn(grey, depth, comb.pitch.value, comb.phase, crest.value, root.value)
        here = (comb.z_px >= part.from_px) & (comb.z_px <= part.to_px)
        found.append(single_turns(comb.strip, comb.z_px[here], comb.line_px[here], comb.side, mean))
    crests, roots = (joined([pair[kind] for pair in found]) for kind in (0, 1))
    return Wall(wall.side, wall.line_px, wall.parts, crests, roots)
