"""Which rows that dip hang together: two gaps may touch, and grain may lie beside a gap."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]

# dip between two gaps, of the fainter one's, and how tall that is, of the body width: less is the
# metal between them (simulated)
PARTED, METAL = 0.08, 0.5
GRAIN = 0.12  # of a gap's emptiest row: what is fainter beside it is grain …
TALL = 0.2  # … if it is taller, of the body width, than a channel's own cone (simulated)


def pieces(seen: NDArray[np.bool_], dips: Floats, body: float, *, mouth: int) -> Iterator[Rows]:
    """Rows of one gap each, from the platform down.

    Parameters
    ----------
    seen : (Z,) array
        Rows that dip.
    dips : (Z,) array
    body : float
        Width of the body in rows.
    mouth : int
        Row down to which a gap is open to the platform: it may be an index far emptier than the
        rest of its channel.
    """
    runs, count = ndimage.label(seen)
    for run in range(1, count + 1):
        rows = np.flatnonzero(runs == run)
        metal = dips[rows] < PARTED * ndimage.grey_closing(
            dips[rows], round(METAL * body), mode="constant"
        )
        parts, number = ndimage.label(~metal)
        for part in range(1, number + 1):
            gap = rows[parts == part]
            yield gap if gap[0] < mouth else _without_grain(gap, dips[gap], TALL * body)


def _without_grain(rows: Rows, dips: Floats, tall: float) -> Rows:
    clear = np.flatnonzero(dips > GRAIN * dips.max())
    first, last = int(clear[0]), int(clear[-1]) + 1
    return rows[first if first > tall else 0 : last if len(rows) - last > tall else len(rows)]
