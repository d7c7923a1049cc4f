"""Metal that holes through a body, and hollows round its axis, take out of the rays.

A hole cut square to the axis is as long as the body is thick where it is seen end on, and as wide
as the body where it is seen from its side. A hollow round the axis (a channel's rest below a
screw, a basket) takes less from ray to ray, as the chord of a circle does. That tells them apart.

Lengths are in half widths of the body; metal is a part of the chord in the body's middle.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Floats = NDArray[np.float64]

# what is "simulated" was set on simulated films
STEP = 0.05
ACROSS = np.linspace(-0.85, 0.85, 18)
ALONG_RAY = np.linspace(-1.0, 1.0, 161)
U, Y = ACROSS[:, None], ALONG_RAY[None, :]  # of the places of a cross section
FROM_AXIS = U**2 + Y**2  # how far they lie from it, squared
ROUND = FROM_AXIS <= 1  # those in a body
HALF_WIDTHS = (0.2, 0.28, 0.36, 0.45)  # holes of 0.9 to 2 mm: from memory
LONGEST = 2.6  # height over width of an oblong hole: from memory
TURNS_DEG = (0.0, 30.0, -30.0, 60.0, -60.0, 90.0)  # 0: end on; a model is broad enough for 15
EDGE_BLUR = (1.0, 0.8)  # steps along and across: how soft a film shows an edge
ABOVE, BELOW = 0.6, 0.4  # sound metal above and below, to compare with
HOLLOWS = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)  # radii
CONE = 1.66  # radius over height of a drill's point (118°)
ROOF = 0.25  # how tall a basket's rounded roof is
# for single rows: half widths and turns of holes, radii of hollows about them and by themselves
ROW_WIDTHS, ROW_TURNS_DEG = (0.15, 0.2, 0.25, 0.3, 0.36, 0.45, 0.55), tuple(range(-75, 91, 15))
ROW_HOLLOWS, LONE_HOLLOWS = (0.0, *np.arange(0.15, 0.8, 0.1)), np.arange(0.0, 0.9, 0.05)
ASIDE = (-0.06, 0.0, 0.06)  # how far a hollow may lie beside the axis as found


def steps(length: float) -> int:
    """Rows of a length."""
    return round(length / STEP)


def window(half_height: float) -> NDArray[np.intp]:
    """Rows about a hole's middle that it is compared on."""
    return np.arange(-steps(half_height + ABOVE), steps(half_height + BELOW) + 1)


@cache
def holes(half_height: float) -> tuple[tuple[tuple[float, float], ...], Floats]:
    """Turns and half widths of all holes of one height, and the metal they take, (N, Z, U)."""
    kinds = tuple(
        (turn, wide)
        for wide in HALF_WIDTHS
        if wide <= half_height <= LONGEST * wide
        for turn in TURNS_DEG
    )
    return kinds, np.stack([_through(turn, wide, half_height) for turn, wide in kinds])


def _through(turn_deg: float, half_width: float, half_height: float) -> Floats:
    """A hole with round ends."""
    past_end = np.maximum(np.abs(STEP * window(half_height)) - (half_height - half_width), 0.0)
    open_half = np.sqrt(np.maximum(half_width**2 - past_end**2, 0.0))
    inside = ROUND & (_aside(turn_deg)[None] < open_half[:, None, None])
    return np.asarray(ndimage.gaussian_filter(_summed(inside), EDGE_BLUR, mode="nearest"))


@cache
def hollows(half_height: float) -> Floats:
    """The metal taken by hollows round the axis of one height, (N, Z, U).

    Each with a drill's point or a flat floor, open to the channel above or to the apex below.
    """
    z = STEP * window(half_height)
    shapes = []
    for radius in HOLLOWS:
        point = np.minimum(radius, CONE * np.maximum(half_height - z, 0.0))
        roof = np.clip(1 - (half_height + z) / ROOF, 0.0, 1.0)
        below = z >= -half_height
        flat = radius * (below & (z <= half_height))
        shapes += [point * below, point, radius * np.sqrt(1 - roof**2) * below, flat]
    taken = np.sqrt(np.maximum(np.array(shapes)[:, :, None] ** 2 - ACROSS**2, 0.0))
    return np.asarray(ndimage.gaussian_filter(taken, (0.0, *EDGE_BLUR), mode="nearest"))


@cache
def rows_of_holes() -> Floats:
    """The metal taken in one row by holes of all turns, alone or in a hollow body, (N, U)."""
    return _soft_rows(
        [
            ((hollow**2 > FROM_AXIS) | (_aside(turn) < wide)) & ROUND
            for hollow in ROW_HOLLOWS
            for wide in ROW_WIDTHS
            for turn in ROW_TURNS_DEG
        ]
    )


@cache
def rows_of_hollows() -> Floats:
    """The metal taken in one row by hollows of all radii, (N, U)."""
    return _soft_rows(
        [
            ((U - aside) ** 2 + Y**2 < radius**2) & ROUND
            for radius in LONE_HOLLOWS
            for aside in ASIDE
        ]
    )


def _aside(turn_deg: float) -> Floats:
    """How far places of a cross section lie beside a hole's middle plane, (U, Y)."""
    turn = np.radians(turn_deg)
    return np.asarray(np.abs(U * np.cos(turn) - Y * np.sin(turn)))


def _summed(inside: NDArray[np.bool_]) -> Floats:
    return np.asarray(inside.sum(axis=-1) * (ALONG_RAY[1] - ALONG_RAY[0]) / 2)


def _soft_rows(inside: list[NDArray[np.bool_]]) -> Floats:
    rows = _summed(np.stack(inside))
    return np.asarray(ndimage.gaussian_filter1d(rows, EDGE_BLUR[1], axis=1, mode="nearest"))
