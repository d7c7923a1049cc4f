"""The dark parts of a body on its axis: what a channel is put together from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.channel_pieces import pieces
from features.strip import Strip

Floats = NDArray[np.float64]

CENTRAL = 0.42  # of the body width: a channel lies within this distance from the axis
THROUGH = 0.45  # dip of a hole right through
LOWEST_END = 0.93  # of the length: what runs on to the apex is a hollow body's core
SHORTEST = 0.03  # of the length
OPEN = 0.05  # of the length: a channel starting higher than this is open to the platform
END = 0.2  # of the body width: height of a part's upper and lower end
# what goes on below a screw broken off is about as wide as the channel's end just above it, and as
# empty for its width, and neither much fainter than that channel nor emptier (simulated)
ALIKE_WIDE, ALIKE_EMPTY, NEITHER = (0.5, 1.3), (0.55, 3.0), (0.25, 1.0)
# where that end runs aslant a break is seen: then it may differ more, and lie lower than this (of
# the length), where holes lie as well
BROKEN_WIDE, BROKEN_EMPTY, FAINTER, HOLES = (0.4, 1.7), (0.35, 5.0), 0.1, 0.6
# how tall the shadow of a hole may be, of the channel's width; how alike are the channel's parts
# above and below it (simulated)
SHADOW, SAME_WIDE, SAME_EMPTY = 1.7, (0.75, 1.25), (0.7, 1.3)
# how far a break's last rows lie to one side of those so far above them, all of the body width;
# what counts there, of the part's usual dip (simulated)
ASLANT, RISE, LAST, COUNTS = 0.045, (0.5, 0.25), 0.05, 0.15
# dip on the axis (so near it, of the body width) as a part of a row's strongest: less, and a screw
# stands in the middle of the gap; more, and it is empty
ON_AXIS, HELD, EMPTY = 0.06, 0.5, 0.8


@dataclass(frozen=True, slots=True)
class End:
    """A part's upper or lower end: how it dips there, and how wide it is."""

    dip: float
    wide_px: float


@dataclass(frozen=True, slots=True)
class Part:
    """An unbroken dark part of the body on the axis; heights as parts of the body's length.

    `lean` is how far its lower end lies to one side. No drill leaves that, but a broken screw does.
    `on_axis` is the dip there as a part of the strongest beside it.
    """

    first_px: float
    last_px: float
    high: float
    low: float
    dip: float
    strongest: float
    upper: End
    lower: End
    lean: float
    on_axis: float = 1.0

    @property
    def middle(self) -> float:
        """Height of its middle."""
        return (self.high + self.low) / 2

    @property
    def aslant(self) -> bool:
        """Whether its lower end lies to one side."""
        return self.lean > ASLANT

    @property
    def held(self) -> bool:
        """Whether metal stands in its middle: a screw, or what two holes leave."""
        return self.on_axis < HELD

    @property
    def closed(self) -> bool:
        """Whether it is neither a hole right through nor a hollow body's core."""
        return self.strongest < THROUGH and self.low < LOWEST_END

    @property
    def empty_end(self) -> bool:
        """Whether it is square, empty on its axis and too high for a hole: an end below a screw."""
        return self.on_axis > EMPTY and not self.aslant and self.high < HOLES

    def is_below_screw(self, above: Part) -> bool:
        """Whether it is the empty end below a screw, and the other the gap round that screw."""
        return self.closed and above.held and self.on_axis > EMPTY

    def continues(self, above: Part) -> bool:
        """Whether what fills the channel between the two, a broken screw, could have parted it.

        Or a hole square to the beam, in whose shadow nothing is seen of it.
        """
        if self.held or self.low > LOWEST_END:
            return False
        wide = self.upper.wide_px / above.lower.wide_px
        empty = self.upper.dip / above.lower.dip / wide
        if above.aslant:
            alike = _within(wide, BROKEN_WIDE) and _within(empty, BROKEN_EMPTY)
            alike &= self.upper.dip > FAINTER * above.dip
        elif self.closed and _within(self.dip / above.dip, NEITHER):
            near = self.first_px - above.last_px < SHADOW * above.lower.wide_px
            same = near and _within(wide, SAME_WIDE) and _within(empty, SAME_EMPTY)
            alike = self.high < HOLES and _within(wide, ALIKE_WIDE) and _within(empty, ALIKE_EMPTY)
            alike |= same
        else:
            return False
        # the wall of an emptier body holds no screw
        tapped = max(above.lower.dip, self.upper.dip) < THROUGH
        return above.high < OPEN and tapped and alike


def _within(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] < value < limits[1]


def dark_parts(
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
    mouth = int(np.searchsorted(strip.z_px, top + OPEN * (tip - top)))
    columns = strip.columns(-CENTRAL * body_px, CENTRAL * body_px)
    for rows in pieces(seen, dips, body_px / strip.step_px, mouth=mouth):
        first, last = float(strip.z_px[rows[0]]), float(strip.z_px[rows[-1]])
        if last - first < SHORTEST * (tip - top):
            continue
        near = dip[rows][:, columns]
        wide = (near > 0.5 * near.max(axis=1, keepdims=True)).sum(axis=1) * strip.step_px
        tall = max(round(END * body_px / strip.step_px), 8)
        upper, lower = (
            End(float(np.median(dips[rows[end]])), float(np.median(wide[end])))
            for end in (slice(None, tall), slice(-tall, None))
        )
        yield Part(
            first_px=first,
            last_px=last,
            high=(first - top) / (tip - top),
            low=(last - top) / (tip - top),
            dip=float(np.median(dips[rows])),
            strongest=float(dips[rows].max()),
            upper=upper,
            lower=lower,
            lean=_lean(near, strip.t_px[columns], body_px, strip.step_px),
            on_axis=_on_axis(near, strip.t_px[columns], dips[rows], body_px),
        )


def _on_axis(dip: Floats, t_px: Floats, dips: Floats, body_px: float) -> float:
    """Dip on the axis, the same at both sides of it, as a part of each row's strongest."""
    mirrored = np.minimum(dip, dip[:, ::-1])
    centre = mirrored[:, np.abs(t_px) < ON_AXIS * body_px].mean(axis=1)
    return float(np.median(centre) / np.median(dips))


def _lean(dip: Floats, t_px: Floats, body_px: float, step_px: float) -> float:
    """How far a part's last rows lie to one side of those above them, of the body width."""
    usual = float(np.median(dip.max(axis=1)))
    counts = np.maximum(dip - COUNTS * usual, 0.0)
    counts = counts[dip.max(axis=1) > 1.1 * COUNTS * usual]
    middle = counts @ t_px / np.maximum(counts.sum(axis=1), 1e-6)
    first, last, end = (-max(round(up * body_px / step_px), 2) for up in (*RISE, LAST))
    higher = middle[first:last] if len(middle) > -last else middle[: len(middle) // 2]
    return float(abs(np.median(middle[end:]) - np.median(higher))) / body_px
