"""A ledge near a height: a body that steps down under its thread has turns on two levels.

A straight line through the turns near a ledge lies off both levels. Both walls step down at the
same height, so one ledge is sought in the turns of both, and the turns beyond it say nothing of
the height.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from features.turns import Turns

Floats = NDArray[np.float64]

MORE = 2  # turns looked at beyond those that speak for a height
FEWEST = 10  # of both walls: fewer fit any ledge
SIDE = 3  # of both walls, on either level
DROP_PX, CLEAR, SHARPER = 2.0, 3.0, 0.8  # px; of what is left over; of what a line leaves over
STEEP = 0.5  # of the drop: what the wall's own taper does from turn to turn is less
# of the way from the last turn above to the first one below: where turns do not tell on which side
# of a ledge a height lies, the wall above is taken (a convention)
ABOVE = 0.9


def on_its_level(turns: Turns, others: Turns | None, z_px: float) -> Turns:
    """The turns on the same side of a ledge as a height; all where there is none.

    Parameters
    ----------
    turns, others : Turns
        Of one wall and of the other.
    z_px : float
    """
    ledge = _ledge(turns, others, z_px) if others else None
    if ledge is None:
        return turns
    kept = turns.z_px < ledge if z_px <= ledge else turns.z_px > ledge
    if kept.sum() < 2:
        return turns
    return replace(turns, z_px=turns.z_px[kept], distance_px=turns.distance_px[kept])


def _ledge(turns: Turns, others: Turns, z_px: float) -> float | None:
    """Height of the clearest ledge among the turns of both walls near a height."""
    near = [np.argsort(np.abs(t.z_px - z_px))[: t.near + MORE] for t in (turns, others)]
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
    fits = [_left_over(np.column_stack([line, np.arange(len(z)) >= n]), distance) for n in places]
    if not fits:
        return None
    best = int(np.argmin([left for _, left in fits]))
    (*_, slope, step), left = fits[best]
    each = float(np.ptp(z)) / max(near[0].size - 1, 1)
    clear = step < -max(DROP_PX, CLEAR * left) and left < SHARPER * straight
    if not clear or abs(slope) * each > STEEP * abs(step):
        return None
    above, below = z[places[best] - 1], z[places[best]]
    return float(above + ABOVE * (below - above))


def _both_walls(mine: Floats, cut: int) -> bool:
    """Whether turns of both walls stand above and below."""
    return all(0 < part.sum() < len(part) for part in (mine[:cut], mine[cut:]))


def _left_over(design: Floats, distance: Floats) -> tuple[Floats, float]:
    """Weights by least squares, and the standard deviation of what they leave."""
    weights = np.asarray(np.linalg.lstsq(design, distance, rcond=None)[0], np.float64)
    left = float(np.sum((distance - design @ weights) ** 2))
    return weights, float(np.sqrt(left / (len(distance) - design.shape[1])))
