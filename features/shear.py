"""How steeply a thread climbs along the rays that graze either wall.

Both the helix itself and a tilted beam make it climb: on one wall they add up, on the other they
work against each other.
"""

from __future__ import annotations

import numpy as np

from features.helix import USUAL_TILT_DEG, Helix

UNKNOWN = 0.7  # of the usual tilt: rings, or starts that are not clear, still were tilted somehow


def wall_shears(helix: Helix, *, radius_px: float, pitch_px: float) -> tuple[float, float]:
    """Climb on the left and the right wall, turns per √px (as `ridge_model` takes it).

    With the beam τ off square, n starts climb by (n ± k)/(2π) turns a radian round the body,
    k = 2πR·tan(τ)/pitch; y along a grazing ray goes y/R radian round it (derived).
    """
    starts = helix.likely_starts
    per_degree = 2 * np.pi * radius_px / pitch_px
    unit = float(np.sqrt(2 / radius_px) / (2 * np.pi))
    if not helix.tilt_deg:
        tilted = per_degree * np.tan(np.radians(UNKNOWN * USUAL_TILT_DEG))
        both = float(np.hypot(starts, tilted)) * unit
        return both, both
    tilted = per_degree * np.tan(np.radians(helix.tilt_deg.value))
    return abs(starts + tilted) * unit, abs(starts - tilted) * unit
