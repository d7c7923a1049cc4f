"""Whether missing metal ends above and below a place, as it does at a hole through a body.

A hollow goes on to the apex, a channel comes from the platform.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import special

Floats = NDArray[np.float64]

# lengths are in half widths of the body
OWN = 0.7  # of a hole's half height: rows that are its own
CLEAR, ABOVE = 0.15, 0.6  # from its ends: rows beside it begin, and those above end
ROUNDED = 0.3  # so near the apex every body loses metal
LEAST = 0.05  # of the body's metal: less missing tells nothing
# of the hole's missing metal, how much below it as a rule tells a hollow, and how fast (simulated)
HOLLOW, FADES = 0.82, 0.06
MOST, UNTOLD = (-0.3, 0.6), 0.2  # of the metal above: more tells no more; where no row is above


def hole_ends(
    missing: Floats, apart: Floats, half_height: float, to_tip: float
) -> tuple[float, float]:
    """Whether metal is missing on below a place, 0 to 1; and how much more than above it.

    Parameters
    ----------
    missing : (Z,) array
        Metal missing about the axis, as part of the body's, row by row.
    apart : (Z,) array
        How far each row lies below the place.
    half_height, to_tip : float
        Of the hole; from its middle to the apex.
    """
    below = (apart > half_height + CLEAR) & (apart < to_tip - ROUNDED)
    above = (apart < -half_height - CLEAR) & (apart > -half_height - ABOVE)
    here = float(missing[np.abs(apart) < OWN * half_height].mean())
    goes_on, stands_out = 0.0, UNTOLD
    if below.sum() > 1:
        share = float(missing[below].mean()) / max(here, LEAST)
        goes_on = float(special.expit((share - HOLLOW) / FADES))
    if above.sum() > 1:
        stands_out = float(np.clip(here - missing[above].mean(), *MOST))
    return goes_on, stands_out
