"""Depth of the thread, on the wall where the beam runs along it.

Along one wall a helix falls away from the beam, along the other it rises; tilt the beam and one
side is seen edge-on, its root open to the bottom, the other at a slant, its root hidden behind the
neighbouring crests. So the deeper side is the true one, and the mean of both is too shallow.
"""

from __future__ import annotations

import numpy as np

from features.quantity import NotMeasured, Quantity, from_parts
from features.thread_cell import Cell
from features.widths import Wall, Walls

SEEN = 0.97  # of the depth: even the better side is seen a degree or two aslant (simulated)
BLUR_SHARE = 0.06  # of the depth: what the fitted blur may be wrong by (simulated)
HALVES, SIDES = 0.5, 0.1  # of what the thread's halves, and both walls, differ by (simulated)
UNFITTED = NotMeasured("the thread's profile could not be fitted on either wall")


def thread_depth(walls: Walls) -> Quantity:
    """Crest to root at mid length, px.

    Parameters
    ----------
    walls : Walls
        With a thread: `NotMeasured` where its profile was fitted on neither side.
    """
    sides = [fitted for wall in (walls.left, walls.right) if (fitted := _fitted(wall))]
    if not sides:
        return UNFITTED
    means = [float(np.mean([depth for depth, _ in side])) for side in sides]
    best = int(np.argmax(means))
    depths = [depth for depth, _ in sides[best]]
    value = means[best] / SEEN
    return from_parts(
        value,
        "px",
        edge=float(np.mean([std for _, std in sides[best]])),
        uneven_wall=float(np.hypot(HALVES * np.ptp(depths) / 2, SIDES * np.ptp(means))),
        blur=BLUR_SHARE * value,
    )


def _fitted(wall: Wall) -> list[tuple[float, float]]:
    """Depth and std of each part of a wall that could be fitted."""
    return [told for _, _, cell in wall.cells if (told := _depth(cell))]


def _depth(cell: Cell) -> tuple[float, float] | None:
    if not cell.crest_px or not cell.root_px:
        return None
    return cell.crest_px.value - cell.root_px.value, cell.root_px.std
