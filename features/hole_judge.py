"""How likely missing metal at a place is a hole through the body.

What speaks for it and against it: how much is missing and how it differs from the rows above; the
channel's end, below which alone a hole lies; how near to the apex; stripes, which the tap of a
channel leaves; and whether a hole explains rows and columns better than a hollow round the axis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, special

from features.hole_ends import OWN, stands_out
from features.hole_shapes import ACROSS, rows_of_holes, rows_of_hollows

Floats = NDArray[np.float64]

# Logistic regression on 1779 simulated clinical films, each as often as it would come; three
# bodies in ten are taken to have a hole, as what nobody has papers for is often of an older form
# (from memory). In eight-fold cross-validation 92 of 100 detectable holes were found, and 3.2
# invented on 100 films without one.
BASE = 8.17
WEIGHTS = {
    "below": 3.44,  # the channel's end
    "swing": 4.61,  # of what is missing, from ray to ray
    "missing": 1.96,
    "stands_out": -1.44,  # from the rows above
    "from_apex": -1.21,
    "by_shape": 4.35,  # how much better than hollows holes explain rows and columns
    "by_row": 2.43,  # and the mean row, metal for metal
    "stripes": -9.4,
}
# lengths below are in half widths of the body
MIDDLE = 0.28  # where its own rows are compared with those above and below
# a channel seems to end in a hole that it runs into: half widths above its end that are half as
# good as below it, and how fast that fades
AT_END, FADES = 0.3, 0.15
UNEXPLAINED = 0.02  # part of the swing, and metal, that no shape explains
STRIPED, FEWEST, FAINT = 0.8, 0.25, 0.1  # of the half height; at least so far; of the metal
TAP_ROWS = (5, 3)  # means over so many rows, one after the other, leave no tap
# how much of a shape's metal a row may miss: blur takes of a hole, a screw fills a hollow
HOLE_PART, HOLLOW_PART = (0.75, 1.3), (0.5, 1.3)
SOUND, LOWEST, HIGHEST = 40, 0.3, 5.0  # percentile of the rows, from so near to the apex to so far
OUTERMOST, LESS = 0.75, 0.5  # columns so far out, where threads shade, count less


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Metal missing on the body's lower part, as part of the chord in its middle.

    Attributes
    ----------
    z_px : (Z,) array
    half_px, tip_px, channel_end_px : float
        Half the body's width, height of the apex, and of the channel's end (0: none seen).
    missing : (Z, U) array
        A turn of the thread averaged out.
    middle : (Z,) array
        Of that, the mean about the axis.
    ripple : (Z,) array
        How a channel's tap swings about the axis.
    sound : (U,) array
        What seems to be missing in rows without a hole.
    """

    z_px: Floats
    half_px: float
    tip_px: float
    channel_end_px: float
    missing: Floats
    middle: Floats
    ripple: Floats
    sound: Floats


def rows_of(
    missing: Floats,
    turn_rows: int,
    z_px: Floats,
    half_px: float,
    *,
    tip_px: float,
    channel_end_px: float,
) -> Rows:
    """Average a turn of the thread out of the rows, and find what is usual in them."""
    about_axis = np.abs(ACROSS) < MIDDLE
    single = smooth = missing[:, about_axis].mean(axis=1)
    for size in TAP_ROWS:
        smooth = ndimage.uniform_filter1d(smooth, size)
    if turn_rows > 1:
        missing = ndimage.uniform_filter1d(missing, turn_rows, axis=0)
    from_apex = (tip_px - z_px) / half_px
    part = missing[(from_apex > LOWEST) & (from_apex < HIGHEST)]
    usual = np.percentile(part if len(part) else missing, SOUND, axis=0)
    sound = np.asarray(usual + usual[::-1]) / 2
    middle = missing[:, about_axis].mean(axis=1)
    ends = half_px, tip_px, channel_end_px
    return Rows(z_px, *ends, missing, middle, single - smooth, sound)


@dataclass(frozen=True, slots=True)
class Likeness:
    """How a place compares with holes of one height.

    `hole` and `hollow` are the best correlations with holes, and with hollows round the axis;
    `swing` is the square mean of what is seen, `missing` the metal of the hole at its deepest.
    """

    half_height: float
    hole: float
    hollow: float
    swing: float
    missing: float


def probability(rows: Rows, z_px: float, like: Likeness) -> float:
    """That a hole of one height lies at a place."""
    found = terms(rows, z_px, like)
    return float(special.expit(BASE + sum(WEIGHTS[key] * found[key] for key in WEIGHTS)))


def terms(rows: Rows, z_px: float, like: Likeness) -> dict[str, float]:
    """What speaks for a hole and against it, by the names of `WEIGHTS`."""
    apart = (rows.z_px - z_px) / rows.half_px
    below = (z_px - rows.channel_end_px) / rows.half_px
    return {
        "below": float(special.expit((below + AT_END) / FADES)),
        "swing": float(np.log(max(like.swing, 1e-9))) / 2,
        "missing": like.missing,
        "stands_out": stands_out(rows.middle, apart, like.half_height),
        "from_apex": (rows.tip_px - z_px) / rows.half_px,
        "by_shape": _better(1 - like.hollow**2, 1 - like.hole**2) / 2,
        "by_row": _by_row(rows, apart, like.half_height),
        "stripes": _stripes(rows, apart, like),
    }


def _better(hollow: float, hole: float) -> float:
    """Logarithm of how much less a hole leaves over."""
    return float(np.log((hollow + UNEXPLAINED) / (hole + UNEXPLAINED)))


def _by_row(rows: Rows, apart: Floats, half_height: float) -> float:
    """How much better than hollows holes of all turns explain the mean row, metal for metal."""
    row = rows.missing[np.abs(apart) < OWN * half_height].mean(axis=0) - rows.sound
    return _better(
        _left_over(row, rows_of_hollows(), HOLLOW_PART), _left_over(row, rows_of_holes(), HOLE_PART)
    )


def _left_over(row: Floats, shapes: Floats, part: tuple[float, float]) -> float:
    """Square mean root of what the best shape leaves of a row."""
    weights = np.where(np.abs(ACROSS) > OUTERMOST, LESS, 1.0)
    weighted = shapes * weights**2
    fit = np.clip(weighted @ row / np.maximum((weighted * shapes).sum(axis=1), 1e-9), *part)
    left = (row - fit[:, None] * shapes) * weights
    return float(np.sqrt((left**2).mean(axis=1).min()))


def _stripes(rows: Rows, apart: Floats, like: Likeness) -> float:
    """How far the rows swing from one to the next, as part of the missing metal."""
    near = np.abs(apart) < max(STRIPED * like.half_height, FEWEST)
    return float(np.std(rows.ripple[near])) / max(like.missing, FAINT)
