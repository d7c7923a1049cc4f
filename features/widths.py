"""Envelope and core: where the true walls run, and the widths at the heights that are defined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.smooth_wall import smooth_wall_at
from features.strip import Strip
from features.thread_cell import Cell, fit_cell, fold
from features.threads import Thread
from features.turns import TurnedWall, find_turns

Floats = NDArray[np.float64]

WIDENS_DEG = -1.5  # per side: bodies with a back taper stay above (from memory)
ENOUGH_TURNS = 4  # for one mean turn
NEARLY = 0.75  # of a pitch: how far beyond its last turn a thread still speaks for the wall
EVEN = 0.4  # of the thread's height on the outline: a wall that strays less has no thread
# of a thread's depth: how far one turn may differ from the mean turn that was fitted (simulated)
CREST_SHARE, ROOT_SHARE = 0.08, 0.15


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """One wall: the smooth line it follows and, where there is a thread, crest and root from it.

    `cells` are (from, to, cell) along the axis: a thread may change on its way to the apex.
    `turned` tells where the outline stands turn by turn.
    """

    side: float
    line_px: Floats
    cells: tuple[tuple[float, float, Cell], ...]
    turned: TurnedWall | None = None

    def cell_at(self, z_px: float) -> tuple[float, float, Cell] | None:
        """The thread nearest to a height, with the heights it was fitted between."""
        return min(self.cells, key=lambda c: max(c[0] - z_px, z_px - c[1]), default=None)


@dataclass(frozen=True, slots=True, eq=False)
class Walls:
    """Both walls with the thread's zone along the axis."""

    strip: Strip
    outline: Outline
    left: Wall
    right: Wall
    zone_px: tuple[float, float]
    pitch_px: float


def fit_walls(
    strip: Strip, outline: Outline, thread: Thread, shears: tuple[float, float] = (0.0, 0.0)
) -> Walls:
    """Find the smooth lines and, in the thread's zone, crest and root.

    `shears`: how the thread climbs along the rays at the left and right wall (`wall_shears`).
    """
    zone = (thread.from_px, thread.to_px) if thread.pitch_px else (0.0, 0.0)
    walls = []
    for side, edge, crests, shear in (
        (-1.0, outline.left_px, thread.crests_left_px, shears[0]),
        (1.0, outline.right_px, thread.crests_right_px, shears[1]),
    ):
        line = edge
        cells: tuple[tuple[float, float, Cell], ...] = ()
        turned = None
        if thread.pitch_px:
            pitch = thread.pitch_px.value
            rows = outline.between(*zone)
            line = edge.copy()
            line[rows] = _without_period(outline.z_px[rows], edge[rows], pitch)
            cells = _fit_turns(strip, outline.z_px[rows], line[rows], side, pitch, crests, shear)
            turned = find_turns(outline, side, crests, pitch)
        walls.append(Wall(side, line, cells, turned))
    pitch = thread.pitch_px.value if thread.pitch_px else 0.0
    return Walls(strip, outline, walls[0], walls[1], zone, pitch)


def _without_period(z: Floats, edge: Floats, pitch: float) -> Floats:
    """The wall's slow course under its thread: a low polynomial fitted together with the comb."""
    turns = float(np.ptp(z)) / pitch
    degree = 1 if turns < 4 else 2 if turns < 8 else 3
    place = 2 * (z - z[0]) / max(float(np.ptp(z)), 1.0) - 1
    slow = np.polynomial.legendre.legvander(place, degree)
    phase = 2 * np.pi * z / pitch
    waves = [f(k * phase) for k in (1, 2) for f in (np.cos, np.sin)]
    design = np.hstack([slow, np.stack(waves, axis=1)])
    kept = np.ones(len(z), dtype=bool)
    for _ in range(3):  # a flute or a hole cuts some rows: leave them out
        weights = np.linalg.lstsq(design[kept], edge[kept], rcond=None)[0]
        miss = np.abs(edge - design @ weights)
        kept = miss <= max(3.5 * float(np.median(miss[kept])), 0.5)
    return np.asarray(slow @ weights[: degree + 1])


def _fit_turns(
    strip: Strip,
    z: Floats,
    line: Floats,
    side: float,
    pitch: float,
    crests: tuple[float, ...],
    shear: float,
) -> tuple[tuple[float, float, Cell], ...]:
    """Crest and root, once for each part of the zone that holds enough turns."""
    turns = float(np.ptp(z)) / pitch
    if not crests or turns < 2:
        return ()
    reach = max(0.55 * pitch, 0.14 * 2 * float(np.median(line)), 6.0)
    cells = []
    for part in np.array_split(np.arange(len(z)), 2 if turns >= 2 * ENOUGH_TURNS else 1):
        cell, depth = fold(strip, z[part], line[part], side=side, pitch_px=pitch, reach_px=reach)
        fitted = fit_cell(cell, depth, pitch_px=pitch, phase=crests[0] / pitch % 1.0, shear=shear)
        cells.append((float(z[part[0]]), float(z[part[-1]]), fitted))
    return tuple(cells)


def envelope_at(walls: Walls, z_px: float, reach_px: float) -> Quantity:
    """Outer envelope width at one height, over `reach_px` to either side, in px."""
    return _both(walls, z_px, reach_px, roots=False)


def taper(coronal: Quantity, apical: Quantity, *, apart_px: float, faint: bool) -> Quantity:
    """Half-angle of the line through two widths, degrees, positive when narrowing to the apex.

    `faint`: bone over the body could pass for its walls. Hardly any root form widens toward the
    apex, so walls that part there on such a film follow a root or the bone.
    """
    if not coronal or not apical:
        return NotMeasured("the body's width could not be measured at both heights")
    slope = float(np.degrees(np.arctan((coronal.value - apical.value) / (2 * apart_px))))
    if faint and slope < WIDENS_DEG:
        return NotMeasured(
            "on this faint film the walls part toward the apex, as a root's or the bone's would"
        )
    per_px = float(np.degrees(1 / (2 * apart_px)))
    parts = {name: std * per_px for name, std in parts_of(coronal, apical).items()}
    return from_parts(slope, "deg", **parts, axis=0.1)


def core_at(walls: Walls, z_px: float, reach_px: float) -> Quantity:
    """Width at the thread roots (the envelope where there is no thread), in px."""
    return _both(walls, z_px, reach_px, roots=True)


def _both(walls: Walls, z_px: float, reach_px: float, *, roots: bool) -> Quantity:
    distances = [
        _distance(walls, wall, z_px, reach_px, roots=roots) for wall in (walls.left, walls.right)
    ]
    for distance in distances:
        if not distance:
            return distance
    left, right = (d for d in distances if isinstance(d, Measured))
    return _both_or_the_outer(left, right)


def _both_or_the_outer(left: Measured, right: Measured) -> Measured:
    """Sum of both sides; where a flute or a hole cuts one side, twice the outer one."""
    apart, std = abs(left.value - right.value), float(np.hypot(left.std, right.std))
    clash = 4 * std + 1.0
    if apart < clash:
        return from_parts(left.value + right.value, "px", **parts_of(left, right))
    outer = 2 * max(left.value, right.value) - clash / 2
    return from_parts(outer, "px", **parts_of(left, right), unlike_sides=apart / 4)


def _distance(walls: Walls, wall: Wall, z_px: float, reach_px: float, *, roots: bool) -> Quantity:
    if wall.turned is None or not wall.cells:
        return _smooth(walls, wall, z_px, reach_px)
    turns = wall.turned.roots if roots else wall.turned.crests
    if not turns.reaches(z_px, NEARLY * walls.pitch_px):
        smooth = _smooth(walls, wall, z_px, reach_px)
        return _less_the_thread(wall, z_px, smooth) if roots else smooth
    if not roots and _even(walls, wall, z_px):
        return _smooth(walls, wall, z_px, reach_px)
    return _by_turns(walls, wall, z_px, roots=roots)


def _smooth(walls: Walls, wall: Wall, z_px: float, reach_px: float) -> Quantity:
    return smooth_wall_at(walls.strip, walls.outline, wall.side, z_px, reach_px)


def _by_turns(walls: Walls, wall: Wall, z_px: float, *, roots: bool) -> Quantity:
    """The outline's crests or roots near a height, moved out to where the mean turn has them."""
    first, last, cell = wall.cell_at(z_px)  # type: ignore[misc]
    turns = wall.turned.roots if roots else wall.turned.crests  # type: ignore[union-attr]
    offset = cell.root_px if roots else cell.crest_px
    if not offset:
        return offset
    here, std = turns.at(z_px)
    drawn_in = offset.value - turns.off_line(walls.outline.z_px, wall.line_px, first, last)
    share = 0.004 * here  # cut or worn crests (simulated films with flutes)
    deep = (ROOT_SHARE if roots else CREST_SHARE) * _depth(cell)
    return from_parts(
        here + drawn_in,
        "px",
        **parts_of(offset),
        uneven_wall=float(np.hypot(share, std)),
        thread_depth=deep,
    )


def _less_the_thread(wall: Wall, z_px: float, smooth: Quantity) -> Quantity:
    """Where the thread stops short of a height, what its roots would be there."""
    found = wall.cell_at(z_px)
    if not smooth or found is None:
        return smooth
    depth = _depth(found[2])
    return from_parts(smooth.value - depth, "px", **parts_of(smooth), thread_depth=0.3 * depth)


def _even(walls: Walls, wall: Wall, z_px: float) -> bool:
    """Whether the wall runs smooth over a turn about a height: a collar, a band between threads."""
    reach = 0.55 * walls.pitch_px
    rows = walls.outline.between(z_px - reach, z_px + reach)
    if rows.sum() < 4 or wall.turned is None:
        return False
    edge = walls.outline.right_px if wall.side > 0 else walls.outline.left_px
    z = walls.outline.z_px[rows]
    left = edge[rows] - np.polyval(np.polyfit(z, edge[rows], 1), z)
    low, high = np.percentile(left, [5, 95])
    return bool(high - low < EVEN * wall.turned.depth_px)


def _depth(cell: Cell) -> float:
    if not cell.crest_px or not cell.root_px:
        return 0.0
    return max(cell.crest_px.value - cell.root_px.value, 0.0)
