"""Where a channel's parallel part ends: above the drill's cone, or on a flat floor."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.strip import Strip

Floats = NDArray[np.float64]

FALLEN = 0.8  # of the dip above: less, and the drill cone has begun
CONE = 0.30  # of the channel's width: height of a 118° drill's point (common practice)
CONE_TAIL = 1.6  # cone heights: what is seen farther below is a fainter part of the channel
TAIL_PX = 3.0  # … and the film's own blur below the cone
FAINTEST = 0.15  # of the dip above: less is the metal's grain, not the channel (simulated)
LONG_TAIL = 1.2  # cone heights: a shorter one is the cone's own blur
FADED = 0.1  # of the dip a cone's height higher: all that lies below is grain (simulated)
GONE = 0.3  # of the dip above: nothing is left of the channel
FLAT_FALL, BLURRED_PX = 0.05, 1.6  # of the width: in a cone the dip falls more slowly (simulated)
PIERCED, MUCH_EMPTIER = 0.45, 2.0  # dip of a hole, and how far it stands above the channel's
# of the body width: where the dip is wider, of the narrowest and of the mean dip above; elsewhere;
# and how tall it is where nothing below it belongs to the channel (simulated)
WHOLE, WIDENED, WEAKENED, TALL = 0.75, (1.1, 1.3), (0.6, 0.4), 0.3
TILTED_PX = 2.0  # a tilted floor blurs so much more
GRAIN_ROWS = 3  # either side: rows of grain that look like channel by chance


def channel_alone(
    strip: Strip, seen_px: tuple[float, float], dips: Floats, wide_px: Floats, body_px: float
) -> tuple[float, float]:
    """Leave out what is seen below a channel and is none.

    A channel is drilled from its mouth and nowhere widens downward, while the grain of a burnt-out
    coating, and what a denser sleeve leaves inside, dip over the whole body; a hole through the
    body is far emptier than what is closed, and what goes on far fainter after a drill's cone is
    grain.

    Parameters
    ----------
    strip
    seen_px : (from, to)
    dips, wide_px : arrays
        Of the rows in `seen_px`: the dip, and how wide it is.
    body_px : float
        Width of the body.
    """
    usual = np.cumsum(dips) / np.arange(1, len(dips) + 1)
    until = min(pierced_from(dips) or len(dips), _faded_from(strip, dips, wide_px))
    narrowest = np.minimum.accumulate(_steady(wide_px))
    whole = wide_px > WHOLE * body_px
    widened, weakened = (np.where(whole, *limits) for limits in (WIDENED, WEAKENED))
    grain = (wide_px > widened * narrowest) & (dips < weakened * usual)
    until = min(until, _first_tall(grain & whole, round(TALL * body_px / strip.step_px)))
    kept = np.flatnonzero(ndimage.binary_opening(~grain, iterations=GRAIN_ROWS)[:until])
    last = int(kept[-1]) if len(kept) else until - 1
    return seen_px[0], float(strip.z_px[strip.rows(*seen_px)][last])


def pierced_from(dips: Floats) -> int | None:
    """First row at which a hole through the body begins below a channel, or None."""
    usual = np.cumsum(dips) / np.arange(1, len(dips) + 1)
    pierced = (dips > PIERCED) & (dips > MUCH_EMPTIER * usual)
    pierced[: len(dips) // 4] = False
    return int(np.argmax(pierced)) if pierced.any() else None


def _faded_from(strip: Strip, dips: Floats, wide_px: Floats) -> int:
    """First row of a long tail far fainter than what lies just above; else past the last."""
    cone = max(round(CONE * float(np.median(wide_px)) / strip.step_px), 4)
    below = np.maximum.accumulate(dips[::-1])[::-1]
    above = ndimage.median_filter(dips, cone, mode="nearest")
    faded = np.flatnonzero(below[2 * cone :] < FADED * above[: max(len(above) - 2 * cone, 0)])
    first = 2 * cone + int(faded[0]) if len(faded) else len(dips)
    return first if len(dips) - first > LONG_TAIL * cone else len(dips)


def _first_tall(rows: NDArray[np.bool_], tall: int) -> int:
    """First row of the first unbroken run so tall; else past the last."""
    runs = ndimage.binary_opening(rows, np.ones(max(tall, 1)))
    return int(np.argmax(runs)) if runs.any() else len(rows)


def _steady(wide_px: Floats) -> Floats:
    return np.asarray(ndimage.median_filter(wide_px, max(len(wide_px) // 8, 3)))


def parallel_end(
    strip: Strip, dips: Floats, seen_px: tuple[float, float], width_px: float
) -> float:
    """Where the dip begins to fall: below, the drill has left a cone that does not count.

    What is seen farther below than a cone reaches is a narrower, fainter part of the channel.
    """
    end, last = seen_px
    cone = CONE * width_px
    above = 0.0
    while True:
        run = strip.rows(end, last)
        level = _end_level(dips[run], round(cone / strip.step_px))
        if level < FAINTEST * above:
            return end
        lower = float(strip.z_px[run][np.flatnonzero(dips[run] > FALLEN * level)[-1]])
        if last - lower <= CONE_TAIL * cone + TAIL_PX or lower <= end + strip.step_px:
            return lower
        end, above = lower, level


def floor_at(strip: Strip, dips: Floats, end_px: float, width_px: float) -> float:
    """Where the walls end: on a flat floor the dip is gone at once, in a drill's cone slowly.

    Parameters
    ----------
    strip, dips
    end_px : float
        As from `parallel_end`.
    width_px : float
        Width of the channel.
    """
    walls = strip.rows(end_px - max(0.35 * width_px, 3 * strip.step_px), end_px)
    below = strip.rows(end_px - 0.1 * width_px, end_px + CONE * width_px)
    z, share = strip.z_px[below], dips[below] / max(float(np.median(dips[walls])), 1e-6)
    fallen, gone = (_falls_below(level, z, share) for level in (FALLEN, GONE))
    at_once = FLAT_FALL * width_px + BLURRED_PX
    if gone - fallen < at_once and gone - end_px < at_once + TILTED_PX:
        return gone
    return end_px - (1 - FALLEN) * CONE * width_px


def _falls_below(level: float, z_px: Floats, share: Floats) -> float:
    """Height at which the dip is less for the first time, between samples; inf if never."""
    below = share < level
    first = int(np.argmax(below))
    if not below[first]:
        return float("inf")
    if first == 0:
        return float(z_px[0])
    return float(np.interp(level, share[[first, first - 1]], z_px[[first, first - 1]]))


def _end_level(run: Floats, cone: int) -> float:
    """Dip of a channel's last part, the drill's cone left out."""
    parallel = run[: max(len(run) - cone, 1)]
    if len(parallel) < cone:
        return float(np.percentile(run, 85))
    return float(np.median(parallel[-max(cone, len(parallel) // 3) :]))
