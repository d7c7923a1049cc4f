"""The gap left round a screw below a seated part.

A part bears on its rim or cone, not on the floor below it, so a gap stays beneath its foot, round
the shank of its screw: dark at both sides of the axis and less so on it. An empty channel below a
screw is darkest on the axis instead.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.body import Body
from features.bore import Bore
from features.channel_dip import sharp_dip
from features.channel_part import CENTRAL
from features.channel_rows import seen_at, strongest
from features.gaps import GapMap
from features.smoothing import blurred
from features.strip import Strip

Floats = NDArray[np.float64]

# Parts of the platform's width unless said otherwise; how gaps look on simulated films.
LOOKED = 1.25  # how far down: no part's foot lies lower
SHANK = 0.10  # of the body's width: nearer the axis there is the screw
ROUND = 1.25  # darker at the sides than on the axis by so much, there is a screw between
FAINTEST = 0.35  # of the darkest such gap: fainter ones are grain
CLEAR = 1.6  # times the noise: less is grain …
# … or so little, all smoothed by so much along and across: what is looked for where none is plain
FAINTLY, ALONG_PX, ACROSS = 0.6, 1.0, 0.02
SMOOTH = 0.5  # chance of a thread in the channel below: with less, what fills it is no screw
LOWEST = 0.8  # of the length: no screw reaches farther
DARKER = 2.2  # than nearly all rows above it
LEAST_HIGH, LEAST_PX = 0.012, 2.0
NARROWEST, WIDEST = 0.2, 0.85  # a slender post's shading; the body's own walls
BORDER_PX = 4.0  # how far about a gap the axis may not be darker
TOP = 0.12  # of a gap: where it is the space for a part …
FADED, NARROWED = 0.55, 0.8  # … and so much of that in dip or width, the screw's own channel
OUTER = 0.4  # of a row's dip: where a gap ends outward
# of the screw's shank, whose edge is where a row is darkest: where the space for a part is at least
# so wide. Between the turns of its own channel there is room for 1.2 at most, the roots being small
# (ISO 68-1: the shank is as thick as the screw's roots; simulated: 0.8 to 1.2 of the darkest place)
SPACIOUS, BRIDGED = 1.25, 0.02
SCREW_FROM, SCREW_LONG = 0.6, 0.08  # a gap that high and long is no chance
SMOOTHED = 0.04
TURN = 0.12  # a turn of a screw's thread, between whose roots nothing shows, is shorter


@dataclass(frozen=True, slots=True)
class Gap:
    """A gap round a screw: where it begins and ends and how wide it is, in rim widths.

    `narrows`: where it turns into the channel of the screw alone, or ends: the floor of the space
    for a part. `wide` is where it is darkest, `space` the space about the screw down to there.
    `screw_px` is the strip's height down to which something shows beside a screw; `rim_px`: the
    rim's width.
    """

    begins: float
    narrows: float
    ends: float
    wide: float
    screw_px: float
    rim_px: float
    space: float = 0.0

    @property
    def of_a_screw(self) -> bool:
        """Whether it is long enough to show that a screw is in there."""
        return self.begins < SCREW_FROM and self.ends - self.begins > SCREW_LONG


def find_gap(body: Body, inside: Inside) -> Gap | None:
    """Find the highest gap round a screw, or None."""
    return _highest(body, inside, CLEAR)


def find_faint_gap(body: Body, inside: Inside, channel: Bore) -> Gap | None:
    """Look again, closely, for the gap of a body in which none is plain.

    Not above the empty end of a smooth well: a post fills that, and grain would be all there is.
    """
    if channel.finding.state == "present" and channel.tapped < SMOOTH:
        return None
    return _highest(body, inside.softened(), FAINTLY)


def _highest(body: Body, inside: Inside, clear: float) -> Gap | None:
    """Find the highest gap that is darker than `clear` times the noise."""
    top, tip, step = body.platform.value, body.tip_px, body.strip.step_px
    end = min(top + LOOKED * inside.rim_px, top + LOWEST * (tip - top))
    rows = body.strip.rows(top + 1.0, end)
    ringed = inside.side > ROUND * inside.centre
    darkest = float(np.max(inside.side[rows] * ringed[rows], initial=0.0))
    grain = max(seen_at(body.strip, inside.side, top, tip), clear * body.gap_map.noise)
    held = np.zeros(len(ringed), bool)
    held[rows] = (ringed & (inside.side > grain))[rows]
    seen = held & (inside.side > FAINTEST * darkest)
    labels, count = ndimage.label(ndimage.binary_closing(seen, iterations=max(round(1 / step), 1)))
    empty = ndimage.binary_opening(~ringed & (inside.centre > grain))
    for index in range(1, count + 1):
        run = np.flatnonzero(labels == index)
        high = len(run) * step > max(LEAST_HIGH * inside.rim_px, LEAST_PX)
        if not high or inside.is_border(run) or not inside.stands_out(run, rows.start):
            continue
        near = held & ~np.logical_or.accumulate(empty & (np.arange(len(empty)) > run[-1]))
        gap = inside.measured(run, top, _last_near(near, run[-1], TURN * inside.rim_px / step))
        if NARROWEST < gap.wide < WIDEST:
            return gap
    return None


def below_screw(gaps: GapMap, strip: Strip, gap: Gap | None) -> GapMap:
    """Missing metal without what shows beside a screw, which is not the channel's empty end."""
    if gap is None:
        return gaps
    return replace(gaps, dip=gaps.dip * (strip.z_px > gap.screw_px)[:, None])


def _last_near(held: NDArray[np.bool_], row: int, apart: float) -> int:
    """Follow rows that show a screw down from one, none farther from the next than `apart`."""
    for below in np.flatnonzero(held[row:]) + row:
        if below - row > apart:
            break
        row = int(below)
    return row


def _by_rows(strip: Strip, body_px: float, both: Floats) -> tuple[Floats, Floats]:
    """How far each row dips beside the axis and on it."""
    side = strongest(both[:, strip.columns(SHANK * body_px, CENTRAL * body_px)])
    return side, np.median(both[:, strip.columns(-2, 2)], axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class Inside:
    """What dips inside a body, and what dips alike at both sides of its axis: (Z, T).

    And the latter by rows, beside the axis and on it. `rim_px` is the platform's width.
    """

    strip: Strip
    rim_px: float
    body_px: float
    dip: Floats
    mirrored: Floats
    side: Floats
    centre: Floats

    @classmethod
    def of(cls, body: Body, rim_px: float) -> Inside:
        """As the film shows it."""
        strip, wide = body.strip, body.width_px
        dip = sharp_dip(strip, body.gap_map, wide, (body.platform.value, body.tip_px))
        both = np.minimum(dip, dip[:, ::-1])
        return cls(strip, rim_px, wide, dip, both, *_by_rows(strip, wide, both))

    def softened(self) -> Inside:
        """The same, a faint gap's rows smoothed."""
        strip, blur_px = self.strip, (ALONG_PX, ACROSS * self.rim_px)
        smooth = blurred(self.dip, *(px / strip.step_px for px in blur_px))
        side, centre = _by_rows(strip, self.body_px, np.minimum(smooth, smooth[:, ::-1]))
        return replace(self, side=side, centre=centre)

    def is_border(self, run: NDArray[np.intp]) -> bool:
        """Whether a run is but the edge of an empty channel, which is far darker on the axis."""
        near = max(round(BORDER_PX / self.strip.step_px), 1)
        axis = self.centre[max(run[0] - near, 0) : run[-1] + near + 1]
        return bool(axis.max() > self.side[run].max())

    def stands_out(self, run: NDArray[np.intp], first: int) -> bool:
        """Whether a run is far darker than all between it and the platform: else it is grain."""
        apart = round(SMOOTHED * self.rim_px / self.strip.step_px)
        above = self.side[first + apart : run[0] - apart]
        if len(above) < apart:
            return True
        return float(np.median(self.side[run])) > DARKER * float(np.percentile(above, 95))

    def measured(self, run: NDArray[np.intp], platform_px: float, last: int) -> Gap:
        """Where rows of one gap begin, narrow and end, how wide it is, down to where a screw is."""
        step, rim = self.strip.step_px, self.rim_px
        size = max(round(SMOOTHED * rim / step), 3)
        wide = ndimage.median_filter([self._wide(row) for row in run], size)
        dark = ndimage.median_filter(self.side[run], size)
        full = int(np.argmax(dark[: max(round(TOP * rim / step), 4)]))
        less = (dark < FADED * dark[full]) | (wide < NARROWED * wide[full])
        less[: full + 1] = False
        narrows = run[int(np.argmax(less))] if less.any() else run[-1]
        narrows = max(narrows, self._space_ends(run[0], narrows, last))
        space, _ = self._across(slice(run[0], narrows + 1))
        begins, narrows, ends = (self.strip.z_px[[run[0], narrows, run[-1]]] - platform_px) / rim
        return Gap(
            begins=float(begins),
            narrows=float(narrows),
            ends=float(ends),
            wide=float(wide[full]) / rim,
            screw_px=float(self.strip.z_px[last]),
            rim_px=rim,
            space=float(np.median(space)) / rim,
        )

    def _space_ends(self, first: int, known: int, last: int) -> int:
        """Down to which row the space for a part goes on, which may be narrower farther down.

        Below a bevel or a cone the index follows; its wall, too, stands clear of the screw, as the
        wall of the screw's own channel does not. `known` is a row down to which it is sure.
        """
        rows = slice(first, max(last, known) + 1)
        size = max(round(SMOOTHED * self.rim_px / self.strip.step_px), 3)
        wide, shank = (ndimage.median_filter(at, size) for at in self._across(rows))
        spacious = wide > SPACIOUS * shank
        spacious[: known + 1 - first] = True
        near = max(round(BRIDGED * self.rim_px / self.strip.step_px), 1)
        bridged = ndimage.binary_closing(np.pad(spacious, near), iterations=near)[near:-near]
        return first + int(np.argmin(np.append(bridged, False))) - 1

    def _across(self, rows: slice) -> tuple[Floats, Floats]:
        """Width of the space about the screw in each row, and of what is darkest: its shank, px.

        Beside a shank of half width s a row dips by 2·√(R² - t²) from there outward.
        """
        aside = np.abs(self.strip.t_px)
        near = aside < CENTRAL * self.body_px
        dip, aside = self.mirrored[rows][:, near], aside[near]
        shank = aside[np.argmax(dip, axis=1)]
        outer = np.where(dip > OUTER * dip.max(axis=1, keepdims=True), aside, 0.0).max(axis=1)
        space = np.maximum(outer**2 - OUTER**2 * shank**2, 0.0) / (1 - OUTER**2)
        return 2 * np.sqrt(space), 2 * shank

    def _wide(self, row: int) -> float:
        """Outer width of the gap in a row, px."""
        near = np.abs(self.strip.t_px) < CENTRAL * self.body_px
        dark = self.mirrored[row] > OUTER * self.mirrored[row, near].max()
        return 2 * float(np.abs(self.strip.t_px[near & dark]).max(initial=0.0))
