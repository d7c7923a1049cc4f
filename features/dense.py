"""Whether the body is evenly white up to its edges, as dense ceramic is.

Through titanium the shadow of a round body is a dome: the beam's way through it grows from the
edge inward, and the grey with it. Zirconia lets so little through (some 5 % of 4 mm, against a
third of a millimetre of titanium) that the film is as white close to the edge as in the middle,
whatever its tone curve. Metal that is burnt out looks the same, and is not told from it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import special

from features.finding import Finding, finding_by
from features.outline import Outline
from features.strip import Strip

Floats = NDArray[np.float64]

FROM, TO = 0.3, 0.85  # of the length: below what is seated, above the end
NEAR_EDGE = np.array([0.8, 0.85, 0.9])  # of the wall's distance from the axis …
WITHIN = np.arange(0.3, 0.8, 0.1)  # … against the whitest place inside, beside a channel
ROOTS = 75  # percentile of the rows: those where no thread thins the edge
DENSE, SOFT = 0.965, 0.006  # of the whitest grey over what lies beside (simulated)
LEAST_CONTRAST = 0.1  # grey


def dense_finding(strip: Strip, outline: Outline, *, beside: float) -> Finding:
    """Tell an evenly white body from one whose shadow is a dome.

    Parameters
    ----------
    strip, outline
    beside : float
        Grey beside the body.
    """
    length = strip.axis.length_px
    rows = strip.rows(FROM * length, TO * length)
    edge, inner = (_grey_at(strip, outline, rows, shares) for shares in (NEAR_EDGE, WITHIN))
    whitest = np.maximum(inner.max(axis=0), edge.max(axis=0)) - beside
    if not whitest.size or float(np.median(whitest)) < LEAST_CONTRAST:
        return Finding("not assessable", 1.0, "the body hardly stands out from what lies beside it")
    evenness = np.percentile((edge.mean(axis=0) - beside) / np.maximum(whitest, 1e-6), ROOTS)
    return finding_by(float(special.expit((evenness - DENSE) / SOFT)))


def _grey_at(strip: Strip, outline: Outline, rows: slice, shares: Floats) -> Floats:
    """Grey at shares of the walls' distances, both sides averaged, (shares, rows)."""
    z = strip.z_px[rows]
    left, right = (np.interp(z, outline.z_px, wall) for wall in (outline.left_px, outline.right_px))
    part = shares[:, None]
    return np.asarray(0.5 * (strip.at(z, -part * left) + strip.at(z, part * right)))
