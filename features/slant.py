"""What a beam off square to the axis does to lengths, and how far that can be undone.

A flat end of radius R is then seen as an ellipse and stands over its own plane by up to
R·sin|τ|; the axis is shortened by cos τ where the film stood square to the beam; and an apex that
lies farther from the tube than the platform is enlarged less. All are derived. What is not known
(the tilt, how the film stood) is averaged over, and its spread is the part "tilt" of the ±.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from features.quantity import Measured, Quantity, from_parts, parts_of

Floats = NDArray[np.float64]

TILTS_DEG = np.arange(-20.0, 20.01, 0.5)
USUAL_TILT_DEG = 6.0  # how far off square a hand-held beam usually is: from memory
AIMED_TILT_DEG = 2.5  # with a holder's aiming ring: from memory
# how far a hand-held film stands from parallel to the implant (0) toward square to the beam (1):
# the tube is aimed at the film, so nearer 1; from memory
SQUARE, SQUARE_STD = 0.75, 0.25
# tube to implant over √(length · width), which varies less than either: 340 mm over some 7, derived
SOURCE = 48.0


@dataclass(frozen=True, slots=True, eq=False)
class Slant:
    """How likely every tilt of the beam is.

    Attributes
    ----------
    weights : (T,) array
        Probability of each of `TILTS_DEG`.
    square : float
        How far the film stood from parallel to the implant (0) toward square to the beam (1).
    source_widths : float
        Tube to implant in body widths.
    """

    weights: Floats
    square: float
    source_widths: float

    @property
    def overhang(self) -> Floats:
        """By what part of its radius a flat end stands over its plane, at every tilt, (T,)."""
        return np.asarray(np.sin(np.radians(np.abs(TILTS_DEG))))

    def folded(self, grid_deg: Floats) -> Floats:
        """Weights of the nearest of some tilts without their sign, (G,)."""
        nearest = np.abs(np.abs(TILTS_DEG)[:, None] - grid_deg).argmin(axis=1)
        return np.asarray(np.bincount(nearest, self.weights, len(grid_deg)), np.float64)

    def weighed(self, grid_deg: Floats, fit: Floats) -> Slant:
        """With how well tilts without their sign fit something else that was seen."""
        weights = self.weights * np.interp(np.abs(TILTS_DEG), grid_deg, fit)
        return replace(self, weights=weights / weights.sum())

    def mean(self, values: Floats) -> tuple[float, float]:
        """Mean and standard deviation of what depends on the tilt, (T,)."""
        middle = float(self.weights @ values)
        return middle, float(np.sqrt(self.weights @ (values - middle) ** 2))

    def shown(self, widths_long: float) -> Floats:
        """What part of a stretch of the axis from the platform is seen, at every tilt, (T,)."""
        tilt = np.radians(TILTS_DEG)
        farther = np.sin(tilt) * widths_long / self.source_widths
        seen = (1 - self.square * (1 - np.cos(tilt))) * (1 - farther * (self.square > 0))
        return np.asarray(seen)

    def film_std(self) -> float:
        """Relative standard uncertainty of a length from how the film stood."""
        lost = 1 - np.cos(np.radians(TILTS_DEG))
        return float(SQUARE_STD * (self.weights @ lost)) if self.square else 0.0


def slant_of(tilt: Quantity, *, holder: bool, slender: float) -> Slant:
    """The tilts that a measured one allows, or the usual ones.

    Parameters
    ----------
    tilt : Measured in degrees, or NotMeasured
    holder : bool
        The receptor was held parallel to the implant, so that tilt does not shorten it.
    slender : float
        Length of the body over its width.
    """
    usual = AIMED_TILT_DEG if holder else USUAL_TILT_DEG
    middle, std = (tilt.value, max(tilt.std, 0.5)) if tilt else (0.0, usual)
    weights = np.exp(-0.5 * ((TILTS_DEG - middle) / std) ** 2)
    square = 0.0 if holder else SQUARE
    return Slant(weights / weights.sum(), square, SOURCE * math.sqrt(slender))


def as_it_is(length: Measured, slant: Slant, *, widths_long: float) -> Measured:
    """A stretch along the axis, such as a pitch, with its shortening undone.

    Parameters
    ----------
    length : Measured
    slant : Slant
    widths_long : float
        How far along the axis it lies, in body widths, at its far end and its near end together.
    """
    value, std = slant.mean(length.value / slant.shown(widths_long))
    tilt = float(np.hypot(std, slant.film_std() * value))
    return from_parts(value, length.unit, **parts_of(length) | {"tilt": tilt})
