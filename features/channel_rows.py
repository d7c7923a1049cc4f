"""From where to where a channel is seen inside the body."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

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
STARTS_LOWEST, DEEPEST_LOWEST, THROUGH = 0.74, 0.82, 0.45  # … of a long screw; dip of a hole
STARTS_ANEW = 0.65  # of the length: what is far emptier than grain above it starts higher
SHORTEST = 0.03  # of the length
OPEN = 0.05  # of the length: a channel starting higher than this is open to the platform
# what goes on below a screw broken off is so wide, and so empty, for the channel's end just above
# it, this much of the body width tall; and not much fainter than that channel (simulated)
ALIKE_WIDE, ALIKE_EMPTY, END, FAINTER = (0.7, 1.3), (0.55, 3.2), 0.2, 0.15
# where that end runs aslant, by so much of the body width over so much of it, a break is seen:
# then it may differ more, and lie lower than this (of the length), where holes lie as well
ASLANT, ASLANT_HIGH, ASLANT_WIDE, HOLES = 0.035, (0.5, 0.25, 0.05), (0.6, 1.5), 0.6
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


@dataclass(frozen=True, slots=True)
class Part:
    """An unbroken dark part of the body on the axis; heights as parts of the body's length."""

    first_px: float
    last_px: float
    high: float
    low: float
    dip: float
    strongest: float
    end_dip: float
    wide_px: float
    end_wide_px: float
    aslant: bool

    @property
    def middle(self) -> float:
        """Height of its middle."""
        return (self.high + self.low) / 2

    @property
    def closed(self) -> bool:
        """Whether it is neither a hole right through nor a hollow body's core."""
        return self.strongest < THROUGH and self.low < LOWEST_END

    def continues(self, above: Part) -> bool:
        """Whether what fills the channel between the two, a broken screw, could have parted it."""
        wide, empty = self.wide_px / above.end_wide_px, self.dip / above.end_dip
        alike = _within(wide, ASLANT_WIDE if above.aslant else ALIKE_WIDE)
        alike &= _within(empty, ALIKE_EMPTY) and (above.aslant or self.high < HOLES)
        tapped = above.end_dip < THROUGH  # the wall of an emptier body holds no screw
        return above.high < OPEN and tapped and alike and self.dip > FAINTER * above.dip


def _within(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] < value < limits[1]


def channel_rows(
    strip: Strip,
    dip: Floats,
    dips: Floats,
    threshold: float,
    *,
    body_px: float,
    ends_px: tuple[float, float],
) -> tuple[float, float] | None:
    """From where to where the channel is seen, its drill cone included, px, or None.

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
    first = 0.0
    for part in _parts(strip, dip, dips, threshold, body_px, ends_px):
        upper = part.high < STARTS and part.middle < DEEPEST
        # below a long screw the empty end starts low; a hole right through is far emptier
        lower = part.closed and part.high < STARTS_LOWEST and part.middle < DEEPEST_LOWEST
        if found is None:
            anew = upper or lower
        else:
            emptier = part.strongest > MUCH_EMPTIER * found.strongest
            anew = lower and emptier and part.high < STARTS_ANEW
        if anew:
            found, first = part, part.first_px
        elif found and (upper or lower) and part.continues(found):
            found = replace(part, high=found.high)
    return (first, found.last_px) if found else None


def _parts(
    strip: Strip,
    dip: Floats,
    dips: Floats,
    threshold: float,
    body_px: float,
    ends_px: tuple[float, float],
) -> Iterator[Part]:
    """Dark parts from the platform down, those too short to be a channel left out."""
    top, tip = ends_px
    seen = ndimage.binary_closing(dips > threshold, iterations=max(round(1.5 / strip.step_px), 1))
    seen &= (strip.z_px > top) & (strip.z_px < 0.97 * tip)
    labels, count = ndimage.label(seen)
    columns = strip.columns(-CENTRAL * body_px, CENTRAL * body_px)
    for index in range(1, count + 1):
        rows = np.flatnonzero(labels == index)
        first, last = float(strip.z_px[rows[0]]), float(strip.z_px[rows[-1]])
        if last - first < SHORTEST * (tip - top):
            continue
        near = dip[rows][:, columns]
        wide = (near > 0.5 * near.max(axis=1, keepdims=True)).sum(axis=1) * strip.step_px
        end = slice(-max(round(END * body_px / strip.step_px), 8), None)
        yield Part(
            first,
            last,
            (first - top) / (tip - top),
            (last - top) / (tip - top),
            float(np.median(dips[rows])),
            float(dips[rows].max()),
            float(np.median(dips[rows][end])),
            float(np.median(wide)),
            float(np.median(wide[end])),
            _ends_aslant(near, strip.t_px[columns], body_px, strip.step_px),
        )


def _ends_aslant(dip: Floats, t_px: Floats, body_px: float, step_px: float) -> bool:
    """Whether a part's lower end lies to one side: no drill leaves that, but a broken screw may."""
    middle = dip @ t_px / np.maximum(dip.sum(axis=1), 1e-6)
    first, last, end = (-max(round(up * body_px / step_px), 2) for up in ASLANT_HIGH)
    drift = np.median(middle[end:]) - np.median(middle[first:last]) if len(middle) > -last else 0.0
    return bool(abs(drift) > ASLANT * body_px)
