"""The array types of this package, of any shape: floating point, yes-or-no, positions."""

from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[np.floating[Any]]
Mask: TypeAlias = npt.NDArray[np.bool_]
Indices: TypeAlias = npt.NDArray[np.integer[Any]]
