"""From where to where a channel is seen inside the body."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.channel_part import CENTRAL, Part, dark_parts
from features.strip import Strip

Floats = NDArray[np.float64]

SEEN = 0.10  # dip (part of the body's contrast) that always counts as missing metal …
LEAST_SEEN = 0.006  # … and the least that does, where the body is otherwise even
QUIET = 4  # percentile of the rows: what a body shows where there is no channel
MUCH_EMPTIER = 3.0  # than what was seen higher up, which then was no channel (simulated)
STARTS = 0.40  # of the length: a channel's empty end below a screw starts higher than this
STARTS_LOWEST, DEEPEST_LOWEST = 0.74, 0.82  # … of a long screw
STARTS_ANEW = 0.65  # of the length: what is far emptier than grain above it starts higher
DEEPEST = 0.60  # of the length: farther down a gap is a vent, not the channel


def row_dip(strip: Strip, dip: Floats, width_px: float, along_px: float = 1.5) -> Floats:
    """Strongest dip in each row that stands on both sides of the axis alike."""
    central = dip[:, strip.columns(-CENTRAL * width_px, CENTRAL * width_px)]
    mirrored = np.minimum(central, central[:, ::-1])
    return np.asarray(ndimage.gaussian_filter1d(strongest(mirrored), along_px / strip.step_px))


def strongest(dip: Floats) -> Floats:
    """Mean of the strongest sixth of each row."""
    return np.asarray(np.sort(dip, axis=1)[:, -max(dip.shape[1] // 6, 2) :].mean(axis=1))


def seen_at(strip: Strip, dips: Floats, top_px: float, tip_px: float) -> float:
    """Dip that stands out from what this body shows where there is no channel."""
    body = strip.rows(top_px + 0.1 * (tip_px - top_px), top_px + 0.97 * (tip_px - top_px))
    quiet = float(np.percentile(dips[body], QUIET)) if body.stop > body.start else 0.0
    return float(np.clip(4 * quiet + 0.003, LEAST_SEEN, SEEN))


def channel_rows(
    strip: Strip,
    dip: Floats,
    dips: Floats,
    threshold: float,
    *,
    body_px: float,
    ends_px: tuple[float, float],
) -> Part | None:
    """What is seen of the channel, its drill cone included, or None.

    Parameters
    ----------
    strip, dip
        The map of missing metal.
    dips : (Z,) array
        As from `row_dip`.
    threshold : float
        As from `seen_at`.
    body_px : float
        Width of the body.
    ends_px : (platform, apex)
        Their heights.
    """
    found: Part | None = None
    for part in dark_parts(strip, dip, dips, threshold, body_px, ends_px):
        if found is None:
            found = part if _may_begin(part) else None
        elif _below_grain(part, found) or (_low_enough(part) and part.is_below_screw(found)):
            found = part
        elif _may_go_on(part, found) and part.continues(found):
            found = replace(part, high=found.high, first_px=found.first_px)
    return found


def _upper(part: Part) -> bool:
    return part.high < STARTS and part.middle < DEEPEST


def _low_enough(part: Part) -> bool:
    """Whether it could be the empty end below a long screw, which starts low."""
    return part.high < STARTS_LOWEST and part.middle < DEEPEST_LOWEST


def _may_begin(part: Part) -> bool:
    # a hole right through is far emptier than the end below a screw
    return _upper(part) or (part.closed and _low_enough(part))


def _below_grain(part: Part, above: Part) -> bool:
    """Whether it is so much emptier than what was seen higher up that this was no channel."""
    emptier = part.strongest > MUCH_EMPTIER * above.strongest and not part.held
    return part.closed and _low_enough(part) and emptier and part.high < STARTS_ANEW


def _may_go_on(part: Part, above: Part) -> bool:
    """Whether a channel may go on there; where a break is seen, holes may lie in it."""
    return _may_begin(part) or (above.aslant and part.high < STARTS_LOWEST)
