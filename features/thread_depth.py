"""Depth of the thread from its mean turns, the climb along the rays taken out."""

from __future__ import annotations

import numpy as np

from features.quantity import NotMeasured, Quantity, from_parts
from features.widths import Walls

BLUR_SHARE = 0.04  # of the depth: what the fitted blur may be wrong by (simulated)
UNFITTED = NotMeasured("the thread's profile could not be fitted on either wall")


def thread_depth(walls: Walls) -> Quantity:
    """Crest to root at mid length, px.

    Parameters
    ----------
    walls : Walls
        With a thread: `NotMeasured` where its profile was fitted on neither side.
    """
    seen = [wall for wall in (walls.left, walls.right) if not wall.hidden]
    fitted = [depth for wall in seen for depth in wall.depths]
    if not fitted:
        return UNFITTED
    depths = [depth.value for depth in fitted]
    value = float(np.mean(depths))
    return from_parts(
        value,
        "px",
        edge=float(np.mean([depth.std for depth in fitted])),
        uneven_wall=float(np.ptp(depths)) / 2,
        blur=BLUR_SHARE * value,
    )
