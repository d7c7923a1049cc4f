"""How far missing metal stands out from the rows above it, as a hole's does.

A channel comes from the platform: as much metal is missing above its end.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# lengths are in half widths of the body
OWN = 0.7  # of a hole's half height: rows that are its own
CLEAR, ABOVE = 0.15, 0.6  # from its ends: rows beside it begin, and those above end
MOST, UNTOLD = (-0.3, 0.6), 0.2  # of the metal above: more tells no more; where no row is above


def stands_out(missing: Floats, apart: Floats, half_height: float) -> float:
    """How much more metal is missing at a place than above it.

    Parameters
    ----------
    missing : (Z,) array
        Metal missing about the axis, as part of the body's, row by row.
    apart : (Z,) array
        How far each row lies below the place.
    half_height : float
        Of the hole.
    """
    above = (apart < -half_height - CLEAR) & (apart > -half_height - ABOVE)
    if above.sum() < 2:
        return UNTOLD
    here = float(missing[np.abs(apart) < OWN * half_height].mean())
    return float(np.clip(here - missing[above].mean(), *MOST))
