"""The opening of a channel at the platform: how wide it is, and how its wall runs from there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.quantity import Measured, NotMeasured, Quantity, from_parts
from features.strip import Strip

Floats = NDArray[np.float64]

REACH = 0.7  # of the body width: a platform's flare, and so the wall beside a mouth, lies within
RIM_PX = 2.0  # below the platform: the rim's own blur ends
FARTHEST = 0.42  # of the body width: how far down the mouth's wall is followed
TOP = 0.06  # of the body width: rows in which an open mouth is empty
OPEN = 0.055  # dip (part of the body's contrast): a seated part leaves less (simulated)
LEVEL = 0.08  # of a row's deepest dip: where its width is taken
ALONG_PX, ACROSS_PX = 1.5, 1.0  # smoothing
TURN = 0.09  # of the body width: rows among which a tap has a root
SPIKE_ROWS = 5  # a shorter kink in the wall is grain
STRAIGHT_PX = 0.7  # a straight wall's rows scatter less than this about their line (simulated)
END_ROWS, HEAD, TAIL = 4, 1.5, 0.5  # a bevel stands off the line at the top; a step below
SHORTEST_ROWS = 8  # of a wall whose slope can be told
WIDTH_STD = 0.035  # of the width (simulated)
OFF_PX = 2.5  # how far the wall may lie off at either end of its straight part (simulated)
LEAST_STD_DEG, VAGUE_DEG = 2.5, 16.0  # (simulated)

UNCLEAR = NotMeasured("the mouth of the channel is not clear enough to measure")
FILLED = NotMeasured("the mouth is filled by what is seated in it")
SHORT = NotMeasured("the wall below the mouth does not run straight far enough to tell its slope")


@dataclass(frozen=True, slots=True)
class Wall:
    """A mouth's wall as far down as it runs straight.

    `at_platform_px` is its distance from the axis there; `slope` is positive where it widens
    downward.
    """

    at_platform_px: float
    slope: float
    tall_px: float
    scatter_px: float


def read_mouth(
    strip: Strip, *, top_px: float, end_px: float, body_px: float, contrast: float
) -> tuple[Quantity, Quantity]:
    """Width of the opening, px, and its wall's half-angle, degrees.

    Parameters
    ----------
    strip
    top_px, end_px : float
        Height of the platform and of the channel's end.
    body_px, contrast : float
        Width of the body, and its grey over what lies beside it.
    """
    rows = strip.rows(top_px + RIM_PX, min(top_px + FARTHEST * body_px, end_px))
    if rows.stop - rows.start < SHORTEST_ROWS:
        return UNCLEAR, UNCLEAR
    t, dip = dip_between_walls(strip, rows, body_px)
    top = dip[: max(round(TOP * body_px / strip.step_px), 3)]
    if np.median(top[:, np.abs(t) <= RIM_PX]) < OPEN * contrast:
        return FILLED, FILLED
    turn = max(round(TURN * body_px / strip.step_px), 3)
    half = ndimage.grey_closing(half_widths(t, dip), turn)
    wall = straight_wall(strip.z_px[rows] - top_px, ndimage.median_filter(half, SPIKE_ROWS))
    return _opening(wall), _cone(wall)


def _opening(wall: Wall) -> Measured:
    wide = 2 * wall.at_platform_px
    std = float(np.hypot(WIDTH_STD * wide, 2 * wall.scatter_px))
    return from_parts(wide, "px", blur=1.5, channel_wall=std)


def _cone(wall: Wall) -> Quantity:
    std = float(np.hypot(LEAST_STD_DEG, np.degrees(np.arctan(OFF_PX / wall.tall_px))))
    if std > VAGUE_DEG or wall.scatter_px > STRAIGHT_PX:
        return SHORT
    return Measured(max(float(np.degrees(np.arctan(-wall.slope))), 0.0), std, "deg")


def dip_between_walls(strip: Strip, rows: slice, body_px: float) -> tuple[Floats, Floats]:
    """Columns' distance from the axis, and how far each row dips between the walls of its gap.

    A body's shadow is a dome, so the wall beside a gap is the row's brightest place on its side.
    No width has to be told beforehand, as for the map of gaps: a flared platform's mouth may be
    as wide as the body.
    """
    near = strip.columns(-REACH * body_px, REACH * body_px)
    smoothing = (ALONG_PX / strip.step_px, ACROSS_PX / strip.step_px)
    grey = ndimage.gaussian_filter(strip.pixels[rows], smoothing)[:, near]
    t = strip.t_px[near]
    middle = int(np.searchsorted(t, 0.0))
    left = np.argmax(grey[:, :middle], axis=1)[:, None]
    right = middle + np.argmax(grey[:, middle:], axis=1)[:, None]
    way = (t - t[left]) / (t[right] - t[left])
    from_left, from_right = (np.take_along_axis(grey, wall, axis=1) for wall in (left, right))
    dip = from_left * (1 - way) + from_right * way - grey
    return t, np.where((way > 0) & (way < 1), np.maximum(dip, 0.0), 0.0)


def half_widths(t_px: Floats, dip: Floats) -> Floats:
    """Half the gap's width in each row: where a round gap's dip would begin."""
    over = dip - LEVEL * dip.max(axis=1, keepdims=True)
    both = _farthest(t_px, over) + _farthest(-t_px[::-1], over[:, ::-1])
    return np.asarray(0.5 * both / np.sqrt(1 - LEVEL**2))


def _farthest(t_px: Floats, over: Floats) -> Floats:
    """Largest t at which each row rises over 0, between samples."""
    rows = np.arange(len(over))
    last = np.minimum(len(t_px) - 1 - np.argmax(over[:, ::-1] > 0, axis=1), len(t_px) - 2)
    inner, outer = over[rows, last], over[rows, last + 1]
    share = np.clip(inner / np.maximum(inner - outer, 1e-9), 0, 1)
    return np.asarray(t_px[last] + share * (t_px[1] - t_px[0]))


def straight_wall(z_px: Floats, half_px: Floats) -> Wall:
    """The longest straight part from the top: below, the wall steps or bends."""
    best = _line(z_px[:SHORTEST_ROWS], half_px[:SHORTEST_ROWS])
    for rows in range(SHORTEST_ROWS + 1, len(z_px) + 1):
        wall = _line(z_px[:rows], half_px[:rows])
        if wall.scatter_px > STRAIGHT_PX:
            break
        best = wall
    return best


def _line(z_px: Floats, half_px: Floats) -> Wall:
    slope, start = np.polyfit(z_px, half_px, 1)
    off = half_px - (start + slope * z_px)
    head, tail = abs(float(off[:END_ROWS].mean())), abs(float(off[-END_ROWS:].mean()))
    scatter = max(float(np.sqrt(np.mean(off**2))), HEAD * head, TAIL * tail)
    return Wall(float(start), float(slope), float(z_px[-1] - z_px[0]), scatter)
