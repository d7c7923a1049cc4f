"""Depth of the thread from its mean turns, the climb along the rays taken out."""

from __future__ import annotations

import numpy as np

from features.quantity import NotMeasured, Quantity, from_parts
from features.thread_cell import Cell
from features.widths import Walls

BLUR_SHARE = 0.06  # of the depth: what the fitted blur may be wrong by (simulated)
UNFITTED = NotMeasured("the thread's profile could not be fitted on either wall")


def thread_depth(walls: Walls) -> Quantity:
    """Crest to root at mid length, px.

    Parameters
    ----------
    walls : Walls
        With a thread: `NotMeasured` where its profile was fitted on neither side.
    """
    sides = (wall.whole_parts for wall in (walls.left, walls.right))
    fitted = [told for parts in sides for part in parts if (told := _depth(part.cell))]
    if not fitted:
        return UNFITTED
    depths = [depth for depth, _ in fitted]
    value = float(np.mean(depths))
    return from_parts(
        value,
        "px",
        edge=float(np.mean([std for _, std in fitted])),
        uneven_wall=float(np.ptp(depths)) / 2,
        blur=BLUR_SHARE * value,
    )


def _depth(cell: Cell) -> tuple[float, float] | None:
    if not cell.crest_px or not cell.root_px:
        return None
    return cell.crest_px.value - cell.root_px.value, cell.root_px.std
