"""The direction of an implant's axis on the film, and the angle between two of them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from features.body import Body
from features.quantity import Measured, from_parts, parts_of

Floats = NDArray[np.float64]

BLOCKS = 6
# Half a thread more on one wall than on the other pulls the line between them; on 24 simulated
# clinical films axes were off by 0.17 degrees (root mean square), more than the walls' own stray.
AXIS_MODEL_DEG = 0.15


def axis_direction(body: Body) -> Measured:
    """Direction from the platform to the apex, degrees from the film's x toward its y."""
    outline = body.outline
    middle = (outline.right_px - outline.left_px) / 2
    return from_parts(
        math.degrees(body.strip.axis.angle_rad),
        "deg",
        walls=_direction_std_deg(outline.z_px, middle),
        axis_model=AXIS_MODEL_DEG,
    )


def axes_angle(first: Measured, second: Measured) -> Measured:
    """Angle between two axis directions as projected on the film, 0 to 90°.

    The film shows only what lies in its plane; in space the implants may lean apart farther.
    """
    turned = first.value - second.value
    return from_parts(abs((turned + 90) % 180 - 90), "deg", **parts_of(first, second))


def _direction_std_deg(z: Floats, middle: Floats) -> float:
    """Standard uncertainty of the direction of the line midway between the walls.

    Threads make neighbouring rows stray together, so whole blocks of rows are left out in turn
    (delete-a-group jackknife).
    """
    block = np.arange(len(z)) * BLOCKS // len(z)
    slopes = [_slope(z[block != out], middle[block != out]) for out in range(BLOCKS)]
    return math.degrees(math.sqrt((BLOCKS - 1) * float(np.var(slopes))))


def _slope(z: Floats, middle: Floats) -> float:
    return float(np.polyfit(z, middle, 1)[0])
