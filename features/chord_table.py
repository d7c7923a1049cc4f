"""The blurred rim of round metal, tabulated once.

1 − exp(−k·√d) blurred with a Gaussian of standard deviation s depends on d and s only through
y = d/s and κ = k·√s: two numbers make a table, and a table has exact slopes.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy import interpolate, ndimage

SHALLOWEST, DEEPEST = -6.0, 60.0  # of y: beyond, the rim is flat
STEP, FINER = 0.05, 4  # of y; the rim's steep start is sampled so much finer
WEAKEST, STRONGEST, ROWS = 0.0015, 16.0, 48  # of κ, logarithmic


@cache
def chord_table() -> interpolate.RectBivariateSpline:
    """Spline over (log κ, y), made on first use."""
    margin = 6.0
    y = np.arange(SHALLOWEST - margin, DEEPEST + margin, STEP / FINER)
    root = np.sqrt(np.maximum(y, 0.0))
    strengths = np.geomspace(WEAKEST, STRONGEST, ROWS)
    rim = -np.expm1(-strengths[:, None] * root)
    rim = ndimage.gaussian_filter1d(rim, FINER / STEP, axis=1, mode="nearest", truncate=6.0)
    first = round(FINER * margin / STEP)
    kept = slice(first, first + round(FINER * (DEEPEST - SHALLOWEST) / STEP) + 1, FINER)
    return interpolate.RectBivariateSpline(np.log(strengths), y[kept], rim[:, kept])
