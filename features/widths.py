"""Envelope and core: the widths at the heights that are defined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from features.bumps import bump_at
from features.grain import NO_GRAIN, Grain, astray_px, find_grain
from features.hidden_roots import with_hidden_roots
from features.ledge import Level, on_its_level
from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.smooth_wall import rough_px, smooth_wall_at, straight_line
from features.strip import Strip
from features.threaded_wall import Wall, fit_wall
from features.threads import Thread
from features.turn_check import Fitted, held_to_outline

# per side: bodies with a back taper stay above the first, whatever is a body above the second (from
# memory)
WIDENS_DEG, NO_BODY_DEG = -1.5, -4.0
# of a pitch: how far beyond its last turn, and from one to the next, a thread still speaks for the
# wall; of its zone: farther beyond it, nothing is told of flutes that cut its crests (judgements)
NEARLY, MISSED, FLUTED = 0.75, 1.6, 0.6
CUT = 0.4  # of the thread's depth: flutes cut its crests by more
BUMP_STD_PX, BUMP_SHARE = 0.7, 0.25  # what one bump tells of the line over all (simulated)
# of a thread's depth: how far one turn may differ from the mean turn that was fitted (simulated)
CREST_SHARE, ROOT_SHARE = 0.07, 0.1
LEFT_OVER = 0.08  # of a mean turn's swing: what a fit of one turn may leave over (simulated)
# of the half height looked at: how far off a height may be; of how far the walls stand apart about
# an axis that runs midway: what both together are then wrong by, or the outer one alone (simulated)
SLOPING, UNLIKE, OUTER = 0.25, 0.45, 0.4
SEEN = 0.85  # probability from which what stands out of a wall is turns, not grains
HIDDEN_SHARE = 0.12  # of the other wall's depth, where roots are hidden on this one (simulated)


@dataclass(frozen=True, slots=True, eq=False)
class Walls:
    """Both walls with the thread's zone along the axis."""

    strip: Strip
    outline: Outline
    left: Wall
    right: Wall
    zone_px: tuple[float, float]
    pitch_px: float
    grain: Grain = NO_GRAIN


def fit_walls(
    strip: Strip, outline: Outline, thread: Thread, shears: tuple[float, float] = (0.0, 0.0)
) -> Walls:
    """Find the smooth lines and, in the thread's zone, crest and root.

    `shears`: how the thread climbs along the rays at the left and right wall (`wall_shears`).
    """
    left, right = with_hidden_roots(
        *(
            fit_wall(strip, outline, side, thread, shear)
            for side, shear in zip((-1.0, 1.0), shears, strict=True)
        )
    )
    pitch = thread.pitch_px.value if thread.pitch_px else 0.0
    zone = (thread.from_px, thread.to_px) if thread.pitch_px else (0.0, 0.0)
    turns = thread.probability >= SEEN
    grain = NO_GRAIN if thread.pitch_px else find_grain(strip, outline, turns=turns)
    return Walls(strip, outline, left, right, zone, pitch, grain)


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
    if slope < NO_BODY_DEG:
        return NotMeasured("the walls that were found part toward the apex, as no implant's do")
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
        parts = parts_of(left, right) | {"unlike_sides": UNLIKE * max(apart - std, 0.0)}
        return from_parts(left.value + right.value, "px", **parts)
    outer = 2 * max(left.value, right.value) - clash / 2
    return from_parts(outer, "px", **parts_of(left, right), unlike_sides=OUTER * apart)


def _distance(walls: Walls, wall: Wall, z_px: float, reach_px: float, *, roots: bool) -> Quantity:
    turns = wall.roots if roots else wall.crests
    if roots and wall.hidden:
        crest = _distance(walls, wall, z_px, reach_px, roots=False)
        return _below(crest, wall.hidden.value, HIDDEN_SHARE * wall.hidden.value)
    reached = MISSED if turns and turns.among(z_px) else NEARLY
    if turns is not None and turns.beyond_px(z_px) <= reached * walls.pitch_px:
        other = walls.right if wall is walls.left else walls.left
        beside = other.roots if roots else other.crests
        level = on_its_level((turns, beside), z_px, walls.outline, pitch_px=walls.pitch_px)
        return _by_turns(walls, wall, level, z_px, roots=roots)
    smooth = _smooth(walls, wall, z_px, reach_px)
    if turns is None:
        return _over_bumps(walls, wall, z_px, reach_px, smooth, roots=roots)
    if roots:
        return _less_the_thread(wall, z_px, smooth)
    if turns.beyond_px(z_px) > FLUTED * float(np.ptp(walls.zone_px)):
        return _over_bumps(walls, wall, z_px, reach_px, smooth, roots=False)
    threaded, cell = _by_turns(walls, wall, Level(turns), z_px, roots=False), wall.cell_at(z_px)
    depth = cell.depth_px if cell else 0.0
    cut = smooth and threaded and smooth.value < threaded.value - CUT * depth
    return threaded if cut else smooth  # flutes cut a thread's crests down to its roots


def _smooth(walls: Walls, wall: Wall, z_px: float, reach_px: float) -> Quantity:
    """A smooth wall, known less well the more it slopes: a height is not known to the pixel."""
    astray = 0.0
    if walls.grain.reach_px:
        astray = astray_px(walls.outline, wall.side, z_px - reach_px, z_px + reach_px)
    smooth = smooth_wall_at(
        walls.strip,
        walls.outline,
        wall.side,
        z_px,
        reach_px,
        lambda blur: walls.grain.reach_at(blur, astray),
    )
    line = straight_line(walls.outline, wall.side, z_px - reach_px, z_px + reach_px)
    if not smooth or line is None:
        return smooth
    parts = parts_of(smooth) | {"height": SLOPING * abs(line.slope) * reach_px}
    return from_parts(smooth.value, "px", **parts)


def _over_bumps(
    walls: Walls, wall: Wall, z_px: float, reach_px: float, smooth: Quantity, *, roots: bool
) -> Quantity:
    """Over the crests, or roots, of a wall that swells and narrows; as it is where even."""
    bump = bump_at(walls.outline, wall.side, z_px, roots=roots)
    if not smooth or bump is None:
        return smooth
    line = straight_line(walls.outline, wall.side, z_px - reach_px, z_px + reach_px)
    if line is None:
        return smooth
    off = bump - line.at(z_px)
    if (off > 0) == roots:
        return smooth
    uneven = float(np.hypot(BUMP_STD_PX, BUMP_SHARE * off))
    value = smooth.value - rough_px(line) + off
    return from_parts(value, "px", **parts_of(smooth) | {"uneven_wall": uneven})


def _by_turns(walls: Walls, wall: Wall, level: Level, z_px: float, *, roots: bool) -> Quantity:
    """The crests or roots near a height."""
    cell = wall.cell_at(z_px)
    if cell is None:
        return NotMeasured("the thread's profile could not be fitted on this wall")
    offset = cell.root_px if roots else cell.crest_px
    if not offset:
        return offset
    here, std = level.turns.at(z_px)
    doubt = 0.0
    on_one_level = level.turns is (wall.roots if roots else wall.crests)
    if on_one_level:  # beside a ledge the outline shows both
        turn = Fitted(z_px, here, walls.pitch_px, cell.depth_px, roots)
        here, doubt = held_to_outline(walls.outline, wall.side, turn)
    share = 0.004 * here  # cut or worn crests (simulated films with flutes)
    deep = (ROOT_SHARE if roots else CREST_SHARE) * cell.depth_px
    uneven = float(np.sqrt(share**2 + std**2 + doubt**2))
    unlike = cell.depth_px * max(float(np.sqrt(cell.misfit)) - LEFT_OVER, 0.0)
    parts = parts_of(offset) | {"thread_depth": float(np.hypot(deep, unlike))}
    # a ledge is one for both walls
    parts |= {"uneven_wall": uneven, "ledge": float(np.sqrt(2)) * level.std_px}
    return from_parts(here + level.off_px, "px", **parts)


def _less_the_thread(wall: Wall, z_px: float, smooth: Quantity) -> Quantity:
    """Where the thread stops short of a height, what its roots would be there."""
    cell = wall.cell_at(z_px)
    return _below(smooth, cell.depth_px, 0.3 * cell.depth_px) if cell else smooth


def _below(crest: Quantity, depth_px: float, std_px: float) -> Quantity:
    """A root so far below a crest."""
    if not crest:
        return crest
    parts = parts_of(crest) | {"thread_depth": std_px}
    return from_parts(crest.value - depth_px, "px", **parts)
