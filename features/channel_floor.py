"""How far down an open channel is wider than at its end: where the space for a part ends.

Below the opening lies the index or the cone that a part sits in, and below that the channel its
screw turns in, which is narrower.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from features.straight_runs import SHORTEST, straight_runs

Floats = NDArray[np.float64]

STEP_PX = 0.8  # of half the width: walls scatter so much at least (simulated)
LOWER = 0.85  # of the channel: its own part reaches farther down, as a drill's point alone may not
WIDER = 1.12  # times the channel's own width: space for a part (simulated)
MOST_ROWS = 160  # more would only take longer


def wide_to(z_px: Floats, half_px: Floats) -> float | None:
    """How far below the platform a channel is wider than its own part, px; 0 where nowhere.

    None where too few rows are seen.

    Parameters
    ----------
    z_px : (N,) array
        Rows' distance from the platform, increasing to the channel's end.
    half_px : (N,) array
        Half the channel's width in each.
    """
    every = -(-len(z_px) // MOST_ROWS)
    z_px, half_px = z_px[::every], half_px[::every]
    if len(z_px) < 2 * SHORTEST:
        return None
    runs = straight_runs(half_px, least_std=STEP_PX)
    wide = [float(np.median(half_px[run])) for run in runs]
    low = [n for n, run in enumerate(runs) if run.stop > LOWER * len(z_px)]
    top = own = max(low, key=lambda n: runs[n].stop - runs[n].start)
    while top and wide[top - 1] < WIDER * wide[own]:
        top -= 1
    return float(z_px[runs[top].start]) if top else 0.0
