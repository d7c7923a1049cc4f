"""Envelope and core: where the true walls run, and the widths at the heights that are defined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from features.edges import ChordEdge, fit_chord_edge
from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.strip import Strip
from features.thread_cell import Cell, fit_cell, fold
from features.threads import Thread
from features.turns import Turns, find_turns

Floats = NDArray[np.float64]

PROFILE_PX = 10.0  # half length of an edge profile: the model holds near the rim only
WIDENS_DEG = -1.5  # per side: bodies with a back taper stay above (from memory)
ENOUGH_TURNS = 4  # for one mean turn
EVEN_PX, ROUGH, ROUGHEST_PX = 0.35, 3.0, 2.5  # beads stand out from the mean wall (simulated)
# of a thread's depth: how far one turn may differ from the mean turn that was fitted (simulated)
CREST_SHARE, ROOT_SHARE = 0.08, 0.15
MODEL_STD_PX = 0.35  # what the edge model itself may be wrong by, per wall, on smooth walls


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """One wall: the smooth line it follows and, where there is a thread, crest and root from it.

    `cells` are (from, to, cell) along the axis: a thread may change on its way to the apex.
    `crests`, `roots` are where the outline stands turn by turn.
    """

    side: float
    line_px: Floats
    cells: tuple[tuple[float, float, Cell], ...]
    crests: Turns | None = None
    roots: Turns | None = None

    def cell_at(self, z_px: float) -> Cell | None:
        """The thread nearest to a height."""
        nearest = sorted(self.cells, key=lambda c: max(c[0] - z_px, z_px - c[1]))
        return nearest[0][2] if nearest else None


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
        turns: list[Turns | None] = [None, None]
        if thread.pitch_px:
            pitch = thread.pitch_px.value
            rows = outline.between(*zone)
            line = edge.copy()
            line[rows] = _without_period(outline.z_px[rows], edge[rows], pitch)
            cells = _fit_turns(strip, outline.z_px[rows], line[rows], side, pitch, crests, shear)
            turns = [
                find_turns(outline, side, crests, pitch, roots=roots) for roots in (False, True)
            ]
        walls.append(Wall(side, line, cells, *turns))
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
        fitted = fit_cell(
            cell, depth, pitch_px=pitch, phase=crests[0] / pitch % 1.0, shear=shear
        )
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
    cell, turns = wall.cell_at(z_px), wall.roots if roots else wall.crests
    if cell is None or turns is None or not _in_zone(walls, z_px):
        return smooth_wall_at(walls, wall, z_px, reach_px)
    offset = cell.root_px if roots else cell.crest_px
    if not offset:
        return offset
    here = float(np.interp(z_px, walls.outline.z_px, wall.line_px))
    unlike, scatter = turns.off_line(walls.outline, wall.line_px, z_px)
    wander = 0.3  # px: what the running mean keeps of an uneven wall
    share = 0.004 * here  # cut or worn crests (simulated films with flutes)
    deep = (ROOT_SHARE if roots else CREST_SHARE) * _depth(cell)
    return from_parts(
        here + unlike + offset.value,
        "px",
        **parts_of(offset),
        uneven_wall=float(np.hypot(wander + share, scatter + 0.3 * abs(unlike))),
        thread_depth=deep,
    )


def _depth(cell: Cell) -> float:
    if not cell.crest_px or not cell.root_px:
        return 0.0
    return max(cell.crest_px.value - cell.root_px.value, 0.0)


def _in_zone(walls: Walls, z_px: float) -> bool:
    """The comb ends half a turn before its last crest does."""
    first, last = walls.zone_px
    return first - walls.pitch_px <= z_px <= last + walls.pitch_px


def smooth_wall_at(walls: Walls, wall: Wall, z_px: float, reach_px: float) -> Quantity:
    """Distance of a smooth wall from the axis by the chord model, in px."""
    line = straight_line(walls.outline, wall.side, z_px - reach_px, z_px + reach_px)
    if line is None:
        return NotMeasured("too little of the wall is on the film here")
    edge = chord_along(walls.strip, wall.side, line, (z_px - reach_px, z_px + reach_px))
    if not edge.offset_px:
        return edge.offset_px
    rough = float(np.clip(ROUGH * (line.scatter_px - EVEN_PX), 0.0, ROUGHEST_PX))
    return from_parts(
        line.at(z_px) + edge.offset_px.value + rough,
        "px",
        edge=edge.offset_px.std,
        edge_model=MODEL_STD_PX,
        uneven_wall=float(np.hypot(0.3 * line.scatter_px, 0.6 * rough)),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """Distance from the axis as a straight line of z."""

    slope: float
    intercept_px: float
    scatter_px: float

    def at(self, z_px: float) -> float:
        """Distance at one height."""
        return self.slope * z_px + self.intercept_px


def straight_line(outline: Outline, side: float, from_px: float, to_px: float) -> Line | None:
    """Robust straight line through one wall between two heights."""
    rows = outline.between(from_px, to_px)
    if rows.sum() < 4:
        return None
    edge = (outline.right_px if side > 0 else outline.left_px)[rows]
    z = outline.z_px[rows]
    fit = stats.siegelslopes(edge[:: max(len(z) // 80, 1)], z[:: max(len(z) // 80, 1)])
    slope, intercept = float(fit.slope), float(fit.intercept)
    scatter = 1.4826 * float(np.median(np.abs(edge - slope * z - intercept)))
    return Line(slope, intercept, scatter)


def chord_along(
    strip: Strip, side: float, line: Line, between_px: tuple[float, float]
) -> ChordEdge:
    """Chord edge of all rows between two heights, averaged along a straight wall line."""
    z = strip.z_px[strip.rows(*between_px)]
    middle = line.at(float(z.mean()))
    reach = float(np.clip(0.55 * middle, 5.0, PROFILE_PX))
    depth = np.arange(-reach, reach + 1e-9, strip.step_px)
    t = side * (line.slope * z[:, None] + line.intercept_px - depth[None, :])
    grey = strip.at(np.broadcast_to(z[:, None], t.shape), t).mean(axis=0)
    return fit_chord_edge(depth, grey)
