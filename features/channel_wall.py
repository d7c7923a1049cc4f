"""Whether a channel's wall is tapped for a screw, or smooth as that of a well for a post."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import special

from features.channel_dip import own_gap, round_over, row_widths
from features.channel_part import CENTRAL
from features.strip import Strip

Floats = NDArray[np.float64]

HALF = 0.5  # of the mean row's deepest dip: where its width is taken
ENDS = 6  # part of the rows left out at either end: a screw's tip, a drill's cone
# of the width between the roots. Smooth walls measure 1 there; of a tap the crests fill a part, so
# that 1.6 to 2.5 mm screws have 0.86 to 0.93 (derived from ISO 261; simulated: 0.85 to 0.96)
TAPPED, SOFT = 0.957, 0.012
# of the body's contrast: a fainter channel's roots are lost in grain, and the width is less sure
FAINT = 0.04


def tapped_wall(strip: Strip, sharp: Floats, rows: slice, body_px: float) -> float:
    """Probability that the empty channel's wall has a thread in it.

    Parameters
    ----------
    strip
    sharp : (Z, T) array
        As from `sharp_dip`.
    rows : slice
        Where the channel is parallel.
    body_px : float
        Width of the body.
    """
    apart = (rows.stop - rows.start) // ENDS
    rows = slice(rows.start + apart, rows.stop - apart)
    roots = float(np.median(row_widths(strip, sharp, rows, body_px)))
    columns = strip.columns(-CENTRAL * body_px, CENTRAL * body_px)
    mean = own_gap(sharp[rows, columns], strip.t_px[columns], body_px).mean(axis=0)
    whole = float((mean > HALF * mean.max()).sum()) * strip.step_px * round_over(HALF)
    soft = SOFT * max(1.0, FAINT / max(float(mean.max()), 1e-6))
    return float(special.expit((TAPPED - whole / max(roots, strip.step_px)) / soft))
