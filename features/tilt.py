"""The beam's angle off square to the implant's axis."""

from __future__ import annotations

from features.quantity import NotMeasured, Quantity


def measure_tilt() -> Quantity:
    """Tilt of the beam, in degrees.

    The rim's ellipse and the thread's one-sided sharpness carry it; until both are read together
    no number is given, and lengths carry a wider interval instead.
    """
    return NotMeasured("the tilt of the beam cannot yet be told from this film")
