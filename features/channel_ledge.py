"""Whether a narrower, far fainter part of a channel goes on below what passes for its end."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from features.channel_end import CONE, FALLEN
from features.strip import Strip

Floats = NDArray[np.float64]

# All heights in those of a drill's cone for the channel above the ledge (simulated, but for a
# cone's own: half of the dip is left in its middle, a tenth where it ends).
UPPER, LOWER = (0.4, 0.6), (0.8, 1.0)  # where it is looked what of the dip above is left
LEFT, STEADY = (0.12, 0.6), (0.6, 2.0)  # of the dip above; of that, farther down
TALL = 1.3  # least height of what goes on
NARROW = 0.65  # of the width above


def below_a_ledge(
    strip: Strip, dips: Floats, wide_px: Floats, *, end_px: float, last_px: float, width_px: float
) -> float:
    """Where the narrow part ends; `end_px` where there is none.

    In a drill's cone the dip falls steadily; on an index's floor it falls at once and then stays.

    Parameters
    ----------
    strip
    dips, wide_px : (Z,) arrays
        Each row's dip and its width.
    end_px, last_px : float
        Where the wide part seems to end, and down to where anything is seen.
    width_px : float
        Width of the channel.
    """
    cone = CONE * width_px
    if last_px < end_px + TALL * cone:
        return end_px
    above = strip.rows(end_px - cone, end_px)
    upper, lower = (strip.rows(end_px + a * cone, end_px + b * cone) for a, b in (UPPER, LOWER))
    if any(part.stop == part.start for part in (above, upper, lower)):
        return end_px
    level, left, still = (float(np.median(dips[part])) for part in (above, upper, lower))
    stays = _within(left, level, LEFT) and _within(still, left, STEADY)
    if not stays or np.median(wide_px[upper]) > NARROW * np.median(wide_px[above]):
        return end_px
    run = strip.rows(end_px + UPPER[0] * cone, last_px)
    return float(strip.z_px[run][np.flatnonzero(dips[run] > FALLEN * left)[-1]])


def _within(part: float, whole: float, limits: tuple[float, float]) -> bool:
    return limits[0] * whole < part < limits[1] * whole
