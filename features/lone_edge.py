"""How often an edge found along the axis is not the one that was marked.

Where metal ends against nothing else, its edge is the one change of grey nearby. Where the grey
rises and falls several times (a crown's margin, a seated part's shoulder, thread and bone at a thin
tip), the strongest edge is often another one's.
"""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from features.strip import Strip

NEARBY_PX, EDGE_PX = 24.0, 4.0  # what is looked at to either side; an edge's own blur
# an edge's share of all change nearby, and how often it was another one's (simulated)
SHARES, STRAYS = (0.2, 0.5, 0.8), (0.4, 0.08, 0.02)


def stray_chance(
    strip: Strip, bands_px: tuple[tuple[float, float], ...], at_px: float, *, toward: float
) -> float:
    """How often an edge so much, or so little, alone is not the one that was marked.

    Parameters
    ----------
    strip : Strip
    bands_px : tuple of (from, to)
        Columns looked at.
    at_px : float
        Height of the edge.
    toward : {1.0, -1.0}
        1: the metal ends toward larger z; -1: toward smaller z.
    """
    columns = strip.columns_in(bands_px)
    rows = strip.rows(at_px - NEARBY_PX, at_px + NEARBY_PX)
    grey = ndimage.gaussian_filter1d(
        strip.pixels[rows][:, columns].mean(axis=1), 1.5 / strip.step_px
    )
    change = -toward * np.diff(grey)
    middle = (strip.z_px[rows][1:] + strip.z_px[rows][:-1]) / 2
    own = change[np.abs(middle - at_px) <= EDGE_PX].sum()
    alone = float(own / max(np.abs(change).sum(), 1e-9))
    return float(np.interp(alone, SHARES, STRAYS))
