"""A wall with a thread: the smooth line under it, its mean turns, and every single turn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

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
# how far from the line a turn is looked at, in pitches, body widths and px
REACH, REACH_WIDTHS, REACH_PX = 0.55, 0.14, 6.0
# of that: a crest or root farther out stands too near the end to be fitted; of the depth: enough to
# see on either side of both (judgements)
NEAR_END, ROOM, LOOKS = 0.95, 0.85, 3
WORSE = 1.5  # times what was left over before: the window has lost the turn
ASTRAY_PX = 1.0  # standard deviation of the turns off the line: less blurs no turn (simulated)
SHARPER, TOGETHER = 0.7, 3  # times what was left over before; turns whose middle one counts
LEVEL = 0.0  # a thread that does not climb: good enough to find where its turns stand


@dataclass(frozen=True, slots=True)
class Window:
    """Which part of the wall's rim a turn is looked at in: outward from its line, px."""

    middle_px: float
    reach_px: float

    def holds(self, cell: Cell, share: float = 1.0) -> bool:
        """Whether crest and root were found in it, or within a share of it."""
        if not cell.crest_px or not cell.root_px:
            return False
        farthest = max(cell.crest_px.value - self.middle_px, self.middle_px - cell.root_px.value)
        return farthest <= share * self.reach_px

    def around(self, cell: Cell) -> Window:
        """A window with crest and root well inside; this one where they are already."""
        if not cell.crest_px or not cell.root_px:
            return self
        if self.holds(cell, NEAR_END):
            return self
        crest, root = cell.crest_px.value, cell.root_px.value
        return Window((crest + root) / 2, max(self.reach_px, ROOM * (crest - root)))


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A part of the thread's zone, (from, to) along the axis, and its mean turn as fitted."""

    from_px: float
    to_px: float
    window: Window
    cell: Cell

    def away_px(self, z_px: float) -> float:
        """How far a height lies outside, negative inside."""
        return max(self.from_px - z_px, z_px - self.to_px)


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """One wall: the smooth line it follows and, where there is a thread, crest and root.

    A thread may change on its way to the apex, so there may be two `parts`; `crests`, `roots` are
    where they stand turn by turn. `hidden` is the thread's depth by the other wall, px, where turns
    cover each other's roots on this one.
    """

    side: float
    line_px: Floats
    parts: tuple[Part, ...] = ()
    crests: Turns | None = None
    roots: Turns | None = None
    hidden: Measured | None = None

    @property
    def depths(self) -> list[Measured]:
        """Crest over root of every whole part where both were fitted, px."""
        return [depth for part in self.whole_parts if (depth := part.cell.depth)]

    @property
    def whole_parts(self) -> list[Part]:
        """Without a part that lies over a band between threads."""
        deepest = max((part.cell.depth_px for part in self.parts), default=0.0)
        return [part for part in self.parts if part.cell.depth_px >= BAND * deepest]

    @property
    def misfit(self) -> float:
        """The most that the fit of a part's mean turn left over."""
        return max((part.cell.misfit for part in self.parts), default=1.0)

    def cell_at(self, z_px: float) -> Cell | None:
        """The mean turn nearest to a height."""
        near = min(self.whole_parts, key=lambda part: part.away_px(z_px), default=None)
        return near.cell if near else None


def fit_wall(strip: Strip, outline: Outline, side: float, thread: Thread, shear: float) -> Wall:
    """Find the smooth line, the mean turns and the single turns of one wall.

    `shear`: how the thread climbs along the rays there (`wall_shears`).
    """
    line = _line_under(outline, side, thread)
    comb = _comb_of(strip, outline, line, side, thread)
    if comb is None:
        return Wall(side, line)
    wall = follow_turns(Wall(side, line, comb.fit(shear)), comb)
    return _along_its_turns(wall, comb, outline, shear)


def _along_its_turns(wall: Wall, comb: _Comb, outline: Outline, shear: float) -> Wall:
    """The wall with its turns laid over each other anew, each from where it was found.

    A step, a flare or a deepening thread moves turns off the smooth line: their mean is then a
    blurred turn. It is kept where that leaves less over.
    """
    if not wall.crests or not wall.roots:
        return wall
    z, off = _off_line(wall, comb)
    if len(z) < ENOUGH_TURNS or float(np.std(off)) < ASTRAY_PX:
        return wall
    line = wall.line_px + np.interp(outline.z_px, z, off)
    moved = replace(comb, line_px=comb.line_px + np.interp(comb.z_px, z, off))
    better = follow_turns(Wall(wall.side, line, moved.fit(shear)), moved)
    sharper = better.misfit < SHARPER * wall.misfit
    return better if sharper and better.crests and better.roots else wall


def _off_line(wall: Wall, comb: _Comb) -> tuple[Floats, Floats]:
    """Heights of a wall's turns, and how far each stands off the mean turn along the line, px."""
    heights, off = [], []
    for turns, roots in ((wall.crests, False), (wall.roots, True)):
        for z, distance in zip(turns.z_px, turns.distance_px, strict=True) if turns else ():
            cell = wall.cell_at(z)
            edge = cell and (cell.root_px if roots else cell.crest_px)
            if edge:
                heights.append(z)
                off.append(distance - float(np.interp(z, comb.z_px, comb.line_px)) - edge.value)
    order = np.argsort(heights)
    steady = ndimage.median_filter(np.array(off)[order], TOGETHER, mode="nearest")
    return np.array(heights)[order], np.asarray(steady)


def misfit_by_shear(
    strip: Strip, outline: Outline, side: float, thread: Thread
) -> Callable[[float], float] | None:
    """How much of a wall's mean turn is left over for a climb; None where no turn is seen whole."""
    comb = _comb_of(strip, outline, _line_under(outline, side, thread), side, thread)
    return comb.misfit_by_shear() if comb else None


def _line_under(outline: Outline, side: float, thread: Thread) -> Floats:
    """A wall's edge, smooth where the thread runs."""
    edge = outline.right_px if side > 0 else outline.left_px
    if not thread.pitch_px:
        return edge
    rows, line = outline.between(thread.from_px, thread.to_px), edge.copy()
    line[rows] = slow_course(outline.z_px[rows], edge[rows], thread.pitch_px.value)
    return line


def _comb_of(
    strip: Strip, outline: Outline, line: Floats, side: float, thread: Thread
) -> _Comb | None:
    """What the turns of a wall share; None where they are too few to be laid over each other."""
    crests = thread.crests_right_px if side > 0 else thread.crests_left_px
    if not thread.pitch_px or not crests:
        return None
    rows = outline.between(thread.from_px, thread.to_px)
    z = outline.z_px[rows]
    if float(np.ptp(z)) < 2 * thread.pitch_px.value:
        return None
    return _Comb(strip, z, line[rows], side, thread.pitch_px, crests[0])


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

    @property
    def window(self) -> Window:
        """Where a turn is looked at first."""
        half = float(np.median(self.line_px))
        return Window(0.0, max(REACH * self.pitch.value, 2 * REACH_WIDTHS * half, REACH_PX))

    def fold(self, part: NDArray[np.intp], window: Window) -> tuple[Floats, Floats]:
        """Mean turn of some of the rows, by depth inward from the window's middle."""
        pitch, reach = self.pitch.value, window.reach_px
        z, line = self.z_px[part], self.line_px[part] + window.middle_px
        return fold(self.strip, z, line, side=self.side, pitch_px=pitch, reach_px=reach)

    def _cell(self, turn: tuple[Floats, Floats], shear: float) -> Cell:
        """Crest and root of a folded turn."""
        return fit_cell(*turn, pitch_px=self.pitch.value, phase=self.phase, shear=shear)

    def _fitted(self, part: NDArray[np.intp], window: Window, shear: float) -> Cell:
        return self._cell(self.fold(part, window), shear).moved(window.middle_px)

    def misfit_by_shear(self) -> Callable[[float], float]:
        """How much of the mean turn of all rows is left over for a climb."""
        every = np.arange(len(self.z_px))
        window, _ = self._look(every, LEVEL)
        turn = self.fold(every, window)
        return lambda shear: self._cell(turn, shear).misfit

    def fit(self, shear: float) -> tuple[Part, ...]:
        """Crest and root, once for each part of the zone that holds enough turns."""
        parts = []
        many = float(np.ptp(self.z_px)) >= 2 * ENOUGH_TURNS * self.pitch.value
        for part in np.array_split(np.arange(len(self.z_px)), 2 if many else 1):
            window, cell = self._look(part, shear)
            last = min(part[-1] + 1, len(self.z_px) - 1)  # no turn is lost between two parts
            parts.append(Part(float(self.z_px[part[0]]), float(self.z_px[last]), window, cell))
        return tuple(parts)

    def _look(self, part: NDArray[np.intp], shear: float) -> tuple[Window, Cell]:
        """Fit some rows' mean turn, in a window that is moved until crest and root lie well in it.

        The line follows a deep thread's roots, or its crests, as often as its middle.
        """
        window, cell = self.window, self._fitted(part, self.window, shear)
        for _ in range(LOOKS - 1):
            better = window.around(cell)
            if better is window:
                break
            found = self._fitted(part, better, shear)
            if window.holds(cell) and found.misfit > WORSE * cell.misfit:
                break
            window, cell = better, found
        return window, cell


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
        grey, depth = comb.fold(rows, like.window)
        depth = depth - like.window.middle_px
        mean = MeanTurn(grey, depth, comb.pitch.value, comb.phase, crest.value, root.value)
        here = (comb.z_px >= part.from_px) & (comb.z_px <= part.to_px)
        found.append(single_turns(comb.strip, comb.z_px[here], comb.line_px[here], comb.side, mean))
    crests, roots = (joined([pair[kind] for pair in found]) for kind in (0, 1))
    return Wall(wall.side, wall.line_px, wall.parts, crests, roots)
