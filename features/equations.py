"""A few linear equations, solved without the checks that take longer than it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lapack

Floats = NDArray[np.float64]


def solved(matrix: Floats, wanted: Floats) -> Floats:
    """Solve for one right side, (N,), or many, (N, M)."""
    _, _, found, failed = lapack.dgesv(matrix, wanted)
    if failed:
        msg = "these equations have no single solution"
        raise np.linalg.LinAlgError(msg)
    return np.asarray(found, np.float64)
