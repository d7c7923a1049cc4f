"""Which side of the implant is mesial."""

from __future__ import annotations

from features.quantity import NotMeasured
from features.strip import Axis

UPPER, LOWER = "1256", "3478"  # ISO 3950 quadrants, permanent and primary
PATIENT_RIGHT = "1458"


def mesial_side(tooth: str | None, axis: Axis) -> float | NotMeasured:
    """-1.0 or 1.0: the sign of the strip's t on the mesial side.

    A film is shown as if facing the patient. A film turned upside down (an upper implant with its
    apex below the platform) is taken as turned by 180°, not mirrored.

    Parameters
    ----------
    tooth : str or None
        FDI number (ISO 3950).
    axis : Axis
    """
    if tooth is None:
        return NotMeasured("give the tooth number, so that mesial and distal are known")
    points_up = axis.along[1] < 0
    upright = points_up == (tooth[0] in UPPER)
    mesial_x = 1.0 if tooth[0] in PATIENT_RIGHT else -1.0
    if not upright:
        mesial_x = -mesial_x
    if abs(axis.across[0]) < 0.5:
        return NotMeasured("the implant lies across the film, so mesial and distal are not clear")
    return mesial_x if axis.across[0] > 0 else -mesial_x
