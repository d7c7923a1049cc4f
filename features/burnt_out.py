"""Metal whiter than the film can show: what is missing in it is not seen."""

from __future__ import annotations

import numpy as np

from features.edges import CLIPPED
from features.strip import Strip

BESIDE = 0.1  # of the body width: how far beside a gap's walls it is looked for burnt-out metal
INNER = 0.8  # of a gap's width: where the gap itself is
# what a gap looks narrower by, of its width: for metal burnt out beside it (beyond so much of it,
# where half of the grain lies below white), and for what is burnt out of the gap itself (simulated)
HALF_WHITE, BY_METAL, BY_GAP = 0.43, 0.16, 0.37


def burnt_share(strip: Strip, from_px: float, to_px: float, half_px: float) -> float:
    """Share that is burnt out between two heights, within a distance from the axis."""
    inside = strip.pixels[strip.rows(from_px, to_px), strip.columns(-half_px, half_px)]
    return float(np.mean(inside >= CLIPPED)) if inside.size else 0.0


def hidden_share(
    strip: Strip, rows_px: tuple[float, float], walls_px: tuple[float, float], body_px: float
) -> float:
    """How much narrower a gap looks, as part of its width, for white metal beside it.

    A round gap's dip begins at its walls; beside metal whiter than the film can show it is seen
    only from where it has come down to white.

    Parameters
    ----------
    strip
    rows_px : (from, to)
    walls_px : (left, right)
        Where the gap seems to end.
    body_px : float
        Width of the body.
    """
    left, right = walls_px
    apart = BESIDE * body_px
    beside = [(left - apart, left - strip.step_px), (right + strip.step_px, right + apart)]
    metal, gap = (
        float(np.mean(strip.pixels[strip.rows(*rows_px)][:, strip.columns_in(bands)] >= CLIPPED))
        for bands in (tuple(beside), ((INNER * left, INNER * right),))
    )
    return max(BY_METAL * (metal - HALF_WHITE) + BY_GAP * gap, 0.0) if metal > HALF_WHITE else 0.0
