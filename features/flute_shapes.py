"""What cutting flutes take out of a body's shadow: round channels along its side, evenly turned."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Floats = NDArray[np.float64]

COUNTS = (3, 4)  # flutes of one body (from memory)
HALF_WIDTHS = (0.2, 0.28, 0.38)  # of a flute, as parts of the body's radius (a judgement)
MIDDLE = 1.05  # of the radius: where the middle of a flute lies, its floor being rounded
TURN_STEP_DEG = 6.0
BLUR = 0.025  # of the radius: of a usual film (simulated)


def missing_metal(u: Floats) -> Floats:
    """Metal that flutes take from the beam's path, for every number, width and turn of them.

    Parameters
    ----------
    u : (U,) array, evenly spaced
        Places across the body, in radii.

    Returns
    -------
    (N, U) array, in radii
    """
    shapes = [_turned(u, count, half) for count in COUNTS for half in HALF_WIDTHS]
    return np.asarray(ndimage.gaussian_filter1d(np.vstack(shapes), BLUR / (u[1] - u[0]), axis=1))


def _turned(u: Floats, count: int, half: float) -> Floats:
    """One number and width of flutes at every turn, (turns, U)."""
    turns = np.radians(np.arange(0.0, 360 / count, TURN_STEP_DEG))
    angles = turns[:, None] + 2 * np.pi / count * np.arange(count)
    across, deep = (MIDDLE * part(angles)[..., None] for part in (np.cos, np.sin))
    reach = np.sqrt(np.maximum(half**2 - (u - across) ** 2, 0.0))
    body = np.sqrt(np.maximum(1 - u**2, 0.0))
    inside = np.minimum(deep + reach, body) - np.maximum(deep - reach, -body)
    return np.asarray(np.maximum(inside, 0.0).sum(axis=1))
