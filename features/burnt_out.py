"""Metal whiter than the film can show: what is missing in it is not seen."""

from __future__ import annotations

import numpy as np

from features.edges import CLIPPED
from features.strip import Strip


def burnt_share(strip: Strip, from_px: float, to_px: float, half_px: float) -> float:
    """Share that is burnt out between two heights, within a distance from the axis."""
    inside = strip.pixels[strip.rows(from_px, to_px), strip.columns(-half_px, half_px)]
    return float(np.mean(inside >= CLIPPED)) if inside.size else 0.0
