"""From where to where a channel is seen inside the body."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.strip import Strip

Floats = NDArray[np.float64]

CENTRAL = 0.42  # of the body width: a channel lies within this distance from the axis
SEEN = 0.10  # dip (part of the body's contrast) that always counts as missing metal …
LEAST_SEEN = 0.006  # … and the least that does, where the body is otherwise even
QUIET = 4  # percentile of the rows: what a body shows where there is no channel
MUCH_EMPTIER = 3.0  # than what was seen higher up, which then was no channel (simulated)
STARTS = 0.40  # of the length: a channel's empty end below a screw starts higher than this
LOWEST_END = 0.93  # of the length: what runs on to the apex is a hollow body's core
STARTS_LOWEST, DEEPEST_LOWEST, THROUGH = 0.65, 0.82, 0.45  # … of a long screw; dip of a hole
DEEPEST = 0.60  # of the length: farther down a gap is a vent, not the channel


def row_dip(strip: Strip, dip: Floats, width_px: float, along_px: float = 1.5) -> Floats:
    """Strongest dip in each row that stands on both sides of the axis alike."""
    central = dip[:, strip.columns(-CENTRAL * width_px, CENTRAL * width_px)]
    mirrored = np.minimum(central, central[:, ::-1])
    strongest = np.sort(mirrored, axis=1)[:, -max(central.shape[1] // 6, 2) :].mean(axis=1)
    return np.asarray(ndimage.gaussian_filter1d(strongest, along_px / strip.step_px))


def seen_at(strip: Strip, dips: Floats, top_px: float, tip_px: float) -> float:
    """Dip that stands out from what this body shows where there is no channel."""
    body = strip.rows(top_px + 0.1 * (tip_px - top_px), top_px + 0.97 * (tip_px - top_px))
    quiet = float(np.percentile(dips[body], QUIET)) if body.stop > body.start else 0.0
    return float(np.clip(4 * quiet + 0.003, LEAST_SEEN, SEEN))


def channel_rows(
    strip: Strip, dips: Floats, threshold: float, top_px: float, tip_px: float
) -> tuple[float, float] | None:
    """From where to where the channel is seen, its drill cone included, px, or None."""
    seen = ndimage.binary_closing(dips > threshold, iterations=max(round(1.5 / strip.step_px), 1))
    seen &= (strip.z_px > top_px) & (strip.z_px < 0.97 * tip_px)
    length = tip_px - top_px
    labels, count = ndimage.label(seen)
    found: tuple[float, float] | None = None
    strongest = 0.0
    for index in range(1, count + 1):
        rows = np.flatnonzero(labels == index)
        first, last = float(strip.z_px[rows[0]]), float(strip.z_px[rows[-1]])
        if last - first < 0.04 * length:
            continue
        high, middle = (first - top_px) / length, ((first + last) / 2 - top_px) / length
        # below a long screw the empty end starts low; a hole right through is far emptier
        closed = (last - top_px) / length < LOWEST_END
        low_end = found is None and high < STARTS_LOWEST and dips[rows].max() < THROUGH and closed
        pierced = dips[rows].max() > THROUGH
        below = high < STARTS_LOWEST and closed and not pierced and middle < DEEPEST_LOWEST
        if below and dips[rows].max() > MUCH_EMPTIER * strongest > 0:
            found = None  # what was seen higher up was the film's grain, not a channel
            low_end = True
        if (high < STARTS and middle < DEEPEST) or (low_end and middle < DEEPEST_LOWEST):
            found = (found[0] if found else first, last)
            strongest = float(dips[rows].max())
    return found
