"""A ledge near a height: a body that steps down under its thread has turns on two levels.

A straight line through the turns near a ledge lies off both levels. Both walls step down at the
same height, so one ledge is sought in the turns of both, and the turns beyond it say nothing of
the height. Turns stand half a pitch apart and more; where between two of them the ledge lies is
seen by the outline, which above it repeats the turn above, and below it the turn below.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import special

from features.outline import Outline
from features.turns import Turns

Floats = NDArray[np.float64]

MORE = 2  # turns looked at beyond those that speak for a height
FEWEST = 10  # of both walls: fewer fit any ledge
FEWEST_LEFT = 2  # of one wall on a level
SIDE = 3  # of both walls, on either level
DROP_PX, CLEAR, SHARPER = 2.0, 3.0, 0.8  # px; of what is left over; of what a line leaves over
CLEARER = 5.0  # … of few turns: a hole that cuts one of them on either wall is no ledge
STEEP = 0.5  # of the drop: what the wall's own taper does from turn to turn is less
AROUND = 1.0  # of a pitch: so far beyond the two turns it stands between, a ledge may lie
HALF = 0.5
ASTRAY_PX = 4.0  # std of a height, known from platform and apex, about a ledge (simulated)


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """The turns on a height's side of a ledge; what the ledge changes there, px, and its doubt."""

    turns: Turns
    off_px: float = 0.0
    std_px: float = 0.0


@dataclass(frozen=True, slots=True)
class _Ledge:
    """Turns of both walls between which a ledge stands, and how far the walls step out there."""

    above_px: float
    below_px: float
    step_px: float


def on_its_level(
    both: tuple[Turns, Turns | None], z_px: float, outline: Outline, *, pitch_px: float
) -> Level:
    """The turns on the same side of a ledge as a height; all where there is none.

    Parameters
    ----------
    both : tuple of Turns
        Of one wall and of the other.
    z_px : float
    outline : Outline
    pitch_px : float
    """
    turns, others = both
    ledge = _nearest_ledge(turns, others, z_px) if others else None
    if ledge is None:
        return Level(turns)
    reach = AROUND * pitch_px
    seen = _where_seen(outline, ledge.above_px - reach, ledge.below_px + reach, pitch_px)
    below = float(np.mean([special.ndtr((z_px - z) / ASTRAY_PX) for z in seen]))
    cut = float(np.mean(seen))
    left = [_beyond(some, cut, below=below > HALF) for some in both]
    if left[0] is None:
        return Level(turns)
    off = ledge.step_px * (below - float(below > HALF))
    std = abs(ledge.step_px) * float(np.sqrt(below * (1 - below)))
    # a body may step down more than once
    further = on_its_level((left[0], left[1]), z_px, outline, pitch_px=pitch_px)
    return Level(further.turns, off + further.off_px, float(np.hypot(std, further.std_px)))


def _beyond(turns: Turns | None, cut_px: float, *, below: bool) -> Turns | None:
    """Turns above or below a height; None of fewer than two."""
    if turns is None:
        return None
    kept = turns.z_px > cut_px if below else turns.z_px < cut_px
    if kept.sum() < FEWEST_LEFT:
        return None
    return replace(turns, z_px=turns.z_px[kept], distance_px=turns.distance_px[kept])


def _nearest_ledge(turns: Turns, others: Turns, z_px: float) -> _Ledge | None:
    """The ledge near a height; where many turns show none, as where there are two, that of few."""
    many = _ledge(turns, others, z_px, turns.near + MORE)
    return many or _ledge(turns, others, z_px, FEWEST // 2, clear=CLEARER)


def _ledge(
    turns: Turns, others: Turns, z_px: float, many: int, *, clear: float = CLEAR
) -> _Ledge | None:
    """Between which turns of so many near a height on either wall the clearest ledge stands."""
    near = [np.argsort(np.abs(t.z_px - z_px))[:many] for t in (turns, others)]
    z = np.concatenate([turns.z_px[near[0]], others.z_px[near[1]]])
    distance = np.concatenate([turns.distance_px[near[0]], others.distance_px[near[1]]])
    mine = np.repeat([1.0, 0.0], [len(some) for some in near])
    order = np.argsort(z, kind="stable")
    z, distance, mine = z[order], distance[order], mine[order]
    if len(z) < FEWEST:
        return None
    line = np.stack([mine, 1 - mine, z - z_px], axis=1)
    straight = _left_over(line, distance)[1]
    places = [n for n in range(SIDE, len(z) - SIDE + 1) if _both_walls(mine, n)]
    if not places:
        return None
    steps = (np.arange(len(z))[:, None] >= places).astype(np.float64)
    best = _explains_most(line, steps, distance)
    (*_, slope, step), left = _left_over(np.column_stack([line, steps[:, best]]), distance)
    each = float(np.ptp(z)) / max(near[0].size - 1, 1)
    seen = step < -max(DROP_PX, clear * left) and left < SHARPER * straight
    if not seen or abs(slope) * each > STEEP * abs(step):
        return None
    return _Ledge(float(z[places[best] - 1]), float(z[places[best]]), float(step))


def _where_seen(outline: Outline, from_px: float, to_px: float, pitch_px: float) -> list[float]:
    """Where between two heights either wall changes over from the turn above to the one below."""
    z, seen = outline.z_px[outline.between(from_px, to_px)], []
    for wall in (outline.left_px, outline.right_px):
        upper, here, lower = (
            np.interp(z + off, outline.z_px, wall) for off in (-pitch_px, 0.0, pitch_px)
        )
        above = (here - (upper + lower) / 2) * (upper - lower)
        seen.append(float(z[min(int(np.argmax(np.cumsum(above))) + 1, len(z) - 1)]))
    return seen


def _both_walls(mine: Floats, cut: int) -> bool:
    """Whether turns of both walls stand above and below."""
    return all(0 < part.sum() < len(part) for part in (mine[:cut], mine[cut:]))


def _explains_most(design: Floats, columns: Floats, distance: Floats) -> int:
    """Which of some columns leaves least over when it is added to a design."""
    square, _ = np.linalg.qr(design)
    off, free = (part - square @ (square.T @ part) for part in (distance, columns))
    return int(((off @ free) ** 2 / np.maximum((free**2).sum(axis=0), 1e-12)).argmax())


def _left_over(design: Floats, distance: Floats) -> tuple[Floats, float]:
    """Weights by least squares, and the standard deviation of what they leave."""
    weights = np.asarray(np.linalg.lstsq(design, distance, rcond=None)[0], np.float64)
    left = float(np.sum((distance - design @ weights) ** 2))
    return weights, float(np.sqrt(left / (len(distance) - design.shape[1])))
