"""The opening of a channel at the platform: how wide it is, and how its wall runs from there.

And how far down the channel is wider than at its end, where nothing is in it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features.channel_floor import wide_to
from features.mouth_wall import Wall, follow_wall, wall_rows
from features.quantity import Measured, NotMeasured, Quantity, from_parts
from features.smoothing import blurred
from features.strip import Strip

Floats = NDArray[np.float64]

# of the body width: a platform's flare, and so the wall beside a mouth, lies within (simulated)
REACH = 0.85
TALLEST = 0.4  # of the body width: a hexagon through which a channel runs on upward
RIM_PX = 2.0  # below the platform: the rim's own blur ends
FARTHEST = 0.42  # of the body width: how far down the mouth's wall is followed
TOP = 0.06  # of the body width: rows in which an open mouth is empty
OPEN = 0.055  # dip (part of the body's contrast): a seated part leaves less (simulated)
ALONG_PX, ACROSS_PX = 1.5, 1.0  # smoothing
SHORTEST_ROWS = 8  # of a mouth
RAGGED_PX = 1.5  # rows that scatter more about any line bound no opening (simulated)
WIDTH_STD = 0.035  # of the width (simulated)
# how far the wall may lie off at either end of its straight part; the more rows, the less of it,
# as of any line through that many (simulated)
OFF_PX, OFF_ROWS = 1.7, 16.0
# rows that scatter more about it tell it less surely; so much more, it must be so tall (simulated)
EVEN_PX, STRAIGHT_PX, TALL_PX = 0.3, 0.5, 24.0
LEAST_STD_DEG = 0.8  # (simulated)

UNCLEAR = NotMeasured("the mouth of the channel is not clear enough to measure")
FILLED = NotMeasured("the mouth is filled by what is seated in it")
SHORT = NotMeasured("the wall below the mouth does not run straight far enough to tell its slope")


@dataclass(frozen=True, slots=True)
class Mouth:
    """The opening of a channel.

    Attributes
    ----------
    width_px, cone_deg : Quantity
        Of the opening, and its wall's half-angle.
    wide_to_px : float or None
        How far below the platform the channel is wider than its own part; 0 where nowhere, None
        where that is not seen.
    straight_to_px : float or None
        How far below the platform the opening's wall runs straight; None where it is not seen.
    """

    width_px: Quantity
    cone_deg: Quantity
    wide_to_px: float | None = None
    straight_to_px: float | None = None


def read_mouth(
    strip: Strip, *, top_px: float, end_px: float, body_px: float, contrast: float
) -> Mouth:
    """Read the opening and what lies below it.

    Parameters
    ----------
    strip
    top_px, end_px : float
        Height of the platform and of the channel's end.
    body_px, contrast : float
        Width of the body, and its grey over what lies beside it.
    """
    highest, lowest = top_px - TALLEST * body_px, min(top_px + FARTHEST * body_px, end_px)
    rows = strip.rows(highest, lowest)
    z_px = strip.z_px[rows] - top_px
    below = int(np.searchsorted(z_px, RIM_PX))
    if len(z_px) - below < SHORTEST_ROWS:
        return Mouth(UNCLEAR, UNCLEAR)
    t, dip = dip_between_walls(strip, rows, body_px)
    top = dip[below : below + max(round(TOP * body_px / strip.step_px), 3)]
    if np.median(top[:, np.abs(t) <= RIM_PX]) < OPEN * contrast:
        return Mouth(FILLED, FILLED)
    space = _space(strip, top_px, end_px, body_px)
    wall = follow_wall(z_px, t, dip, body_px)
    if wall.scatter_px > RAGGED_PX:
        return Mouth(UNCLEAR, UNCLEAR, space)
    return Mouth(_opening(wall), _cone(wall), space, wall.to_px)


def _space(strip: Strip, top_px: float, end_px: float, body_px: float) -> float | None:
    """How far below the platform there is space for a part, px."""
    rows = strip.rows(top_px, end_px)
    z_px = strip.z_px[rows] - top_px
    return wide_to(z_px, wall_rows(z_px, *dip_between_walls(strip, rows, body_px), body_px).half_px)


def _opening(wall: Wall) -> Measured:
    wide = 2 * wall.at_platform_px
    std = float(np.hypot(WIDTH_STD * wide, 2 * wall.scatter_px))
    return from_parts(wide, "px", blur=1.5, channel_wall=std)


def _cone(wall: Wall) -> Quantity:
    if wall.scatter_px > STRAIGHT_PX and wall.tall_px < TALL_PX:
        return SHORT
    uneven = max(wall.scatter_px / EVEN_PX, 1.0)
    off = OFF_PX * uneven / max(np.sqrt(wall.tall_px / OFF_ROWS), 1.0)
    std = float(np.hypot(LEAST_STD_DEG, np.degrees(np.arctan(off / wall.tall_px))))
    return Measured(max(float(np.degrees(np.arctan(-wall.slope))), 0.0), std, "deg")


def dip_between_walls(strip: Strip, rows: slice, body_px: float) -> tuple[Floats, Floats]:
    """Columns' distance from the axis, and how far each row dips between the walls of its gap.

    A body's shadow is a dome, so the wall beside a gap is the row's brightest place on its side.
    No width has to be told beforehand, as for the map of gaps: a flared platform's mouth may be
    as wide as the body.
    """
    near = strip.columns(-REACH * body_px, REACH * body_px)
    grey = blurred(strip.pixels[rows], ALONG_PX / strip.step_px, ACROSS_PX / strip.step_px)[:, near]
    t = strip.t_px[near]
    middle = int(np.searchsorted(t, 0.0))
    left = np.argmax(grey[:, :middle], axis=1)[:, None]
    right = middle + np.argmax(grey[:, middle:], axis=1)[:, None]
    way = (t - t[left]) / (t[right] - t[left])
    from_left, from_right = (np.take_along_axis(grey, wall, axis=1) for wall in (left, right))
    dip = from_left * (1 - way) + from_right * way - grey
    return t, np.where((way > 0) & (way < 1), np.maximum(dip, 0.0), 0.0)
