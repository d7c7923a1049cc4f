"""The film as everything after the reader sees it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Plane = Literal["patient", "imager", "scanned", "unknown"]


@dataclass(frozen=True, slots=True)
class Spacing:
    """A pixel spacing that came with the file, and what it means.

    Attributes
    ----------
    mm_per_px : float
        Of the pixels as delivered (made square on reading).
    plane : str
        ``"patient"``: calibrated to the object; ``"imager"``: at the detector, so the object is
        smaller by the magnification; ``"scanned"``: of a digitised film; ``"unknown"``.
    calibration : str or None
        ``"GEOMETRY"``, ``"FIDUCIAL"`` or None (DICOM Pixel Spacing Calibration Type).
    magnification : float or None
        Estimated radiographic magnification factor, where the file states one.
    sentence : str
        The same, for people.
    """

    mm_per_px: float
    plane: Plane
    calibration: str | None = None
    magnification: float | None = None
    sentence: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Radiograph:
    """One film.

    Attributes
    ----------
    pixels : (H, W) float32 array, read-only
        0 to 1, bright = radiopaque, square pixels, EXIF turn applied.
    sha256 : str
        Of the file as it came.
    bits : int
        Grey levels the file really used, as bits (8, 12, 16 …).
    notes : tuple of str
        What was done on reading that a person should know, one sentence each.
    spacing : Spacing or None
        Only where the file carried one.
    """

    pixels: NDArray[np.float32]
    sha256: str
    bits: int
    notes: tuple[str, ...] = ()
    spacing: Spacing | None = None

    @property
    def width(self) -> int:
        """Columns."""
        return int(self.pixels.shape[1])

    @property
    def height(self) -> int:
        """Rows."""
        return int(self.pixels.shape[0])
