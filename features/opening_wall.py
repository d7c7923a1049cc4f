"""Whether the wall of an opening is short, as a bevel's is, or long, as a cone's or a tube's."""

from __future__ import annotations

import math

from scipy import special

from features.bore import Bore
from features.finding import Form
from features.top import BARE, Top

LONG = 0.18  # of the platform's width: a wall that runs straight farther down is long (definition)
SPREAD = 0.4  # of the natural log: how well its end is told (simulated)
SURE = 0.95
UNSEEN = "the wall of the opening is not seen"


def opening_wall(above: Top, channel: Bore, *, rim_px: float) -> Form:
    """Tell how far down the wall of an open channel runs straight: short or long.

    Parameters
    ----------
    above : Top
        What was seen above the platform.
    channel : Bore
    rim_px : float
        Width of the platform.
    """
    if above.form.state not in BARE or channel.straight_to_px is None:
        return Form("not assessable", 1.0, UNSEEN)
    share = max(channel.straight_to_px / rim_px, 1e-3)
    long = float(special.ndtr(math.log(share / LONG) / SPREAD))
    return Form("long" if long >= 0.5 else "short", SURE * max(long, 1 - long))
