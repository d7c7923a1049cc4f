"""The channel from the platform: its width, where it ends, its mouth and its cone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features.burnt_out import burnt_share
from features.channel_dip import rough_width, row_widths, sharp_dip
from features.channel_end import channel_alone, floor_at, parallel_end, pierced_from
from features.channel_ledge import below_a_ledge
from features.channel_mouth import read_mouth
from features.channel_part import LOWEST_END, Part
from features.channel_rows import channel_rows, row_dip, seen_at
from features.channel_wall import tapped_wall
from features.channel_width import (
    BURNT,
    FILLED_THERE,
    INDEX_ALONE,
    NARROW_UNREAD,
    UNSURE_STD,
    opens,
    tapped_width,
)
from features.finding import Finding
from features.gaps import TOO_FAINT, GapMap
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.strip import Strip

Floats = NDArray[np.float64]

FLOOR_SEEN = 0.15  # of the body width: how far below its end the channel's floor is looked at
OVER_BONE = 0.03  # dip that counts where the bone beside swings like what is missing in a body
# of what lies below a channel; least dip there that ends and does not burn out, and of one open to
# its mouth: turns that begin below an index burn out what the index still showed (simulated)
ALL_BURNT, CLEAR_BURNT, CLEAR_OPEN_BURNT = 0.9, 0.04, 0.07
SOME_BURNT = 0.4  # … from where what is open may be the index alone (simulated)
BELOW = (0.3, 0.6)  # of the body width: what lies below a channel
FAR_ASIDE = 0.09  # of the body width: so far aside nothing ends that a drill left (simulated)
# Of 10 simulated channels whose width is not told for one of these, 6 ended elsewhere.
NOT_THE_TAP = FILLED_THERE, NARROW_UNREAD
# … but for the empty end below a screw, with nothing below it that it may run on to: least dip
# where it fades, of its emptiest row, so that it is no taper; std of its end, of the body width
EVEN, VAGUE_STD = 0.6, 0.08
FADED = "the channel fades into the metal before its end is seen"
LAST_PART, CLEAR_END = 0.15, 2.5  # of the body width; of the least dip seen: less there, and the
# channel may run on unseen (simulated)
# … but where its walls were still clear enough to tell its width, and the metal below is not burnt
# out: then down to so much of the least dip seen (11 of 11 simulated ends within 0.2 mm, none
# of the 9 others)
WALLS_CLEAR_END = 1.25
DEEPER = 2.0  # depth over width: of an index less, so that the tap below it is seen (simulated)


@dataclass(frozen=True, slots=True)
class Bore:
    """What was seen of the channel; lengths in px.

    `end_px` is the strip's height where its parallel part ends, `depth_px` the same from the
    platform. `tapped` is the probability that its wall has a thread in it, and `clear` how far
    it dips below the metal about it, as part of the body's contrast; both 0 where none is seen.
    `wide_to_px` is how far below the platform an open channel is wider than its own part, and
    `straight_to_px` how far the wall of its opening runs straight.
    """

    finding: Finding
    width_px: Quantity
    end_px: Quantity
    depth_px: Quantity
    mouth_px: Quantity
    cone_deg: Quantity
    edges_px: tuple[tuple[float, float, float], ...] = ()  # (z, left t, right t), for the overlay
    tapped: float = 0.0
    clear: float = 0.0
    wide_to_px: float | None = None
    straight_to_px: float | None = None


def measure_bore(
    strip: Strip,
    gaps: GapMap,
    *,
    width_px: float,
    platform: Measured,
    tip_px: float,
    covered: float,
) -> Bore:
    """Measure the channel in the map of missing metal.

    Parameters
    ----------
    strip, gaps
    width_px, tip_px : float
        Body width and height of the apex.
    platform : Measured
        Height of the platform as found, which is not quite where it was marked.
    covered : float
        Probability that something is seated on the platform.
    """
    dips = row_dip(strip, gaps.dip, width_px)
    threshold = seen_at(strip, dips, platform.value, tip_px)
    if gaps.faint:
        threshold = max(threshold, OVER_BONE)
    ends = platform.value, tip_px
    part = channel_rows(strip, gaps.dip, dips, threshold, body_px=width_px, ends_px=ends)
    if part is None or gaps.unseen:
        return _nothing_seen(gaps, covered)
    seen = part.first_px, part.last_px
    sharp = sharp_dip(strip, gaps, width_px, (seen[0], seen[1] + FLOOR_SEEN * width_px))
    walls = _walls(strip, sharp, seen, width_px)
    run = walls.from_px, walls.last_px
    burnt = _burnt_below(strip, walls.floor_px, width_px)
    last = dips[strip.rows(run[1] - LAST_PART * width_px, run[1])]
    opened = opens(run, platform.value, width_px)
    part_seen = _LastPart(
        float(np.median(last)), threshold, burnt, walls.floor_px - platform.value, opened
    )
    width, rows = tapped_width(
        strip, sharp, run, body_px=width_px, top_px=platform.value, burnt=burnt
    )
    faded = part_seen.fades(width)
    width = part_seen.width(width, faded=faded)
    other = isinstance(width, NotMeasured) and width.reason in NOT_THE_TAP
    below = strip.rows(part.last_px + strip.step_px, part.last_px + BELOW[0] * width_px)
    single = not (gaps.faint or np.any(dips[below] > threshold))
    vague = (faded or other) and single and part_seen.is_even_end(part)
    end_std = float(np.hypot(0.02 * tip_px + 1.0, VAGUE_STD * width_px * vague))
    end = from_parts(walls.floor_px, "px", channel_end=end_std)
    mouth = read_mouth(
        strip, top_px=platform.value, end_px=run[1], body_px=width_px, contrast=gaps.contrast
    )
    pierced, aslant = walls.pierced or part.low > LOWEST_END, opened and part.lean > FAR_ASIDE
    unsure = _unsure(
        alone=burnt > SOME_BURNT and opened and not width,
        faded=faded and not vague,
        pierced=pierced,
        aslant=aslant,
        other=other and not vague,
    )
    return Bore(
        _present(float(np.median(dips[strip.rows(*run)])) / threshold),
        width,
        end,
        _depth(end, platform, unsure),
        mouth.width_px,
        mouth.cone_deg,
        rows if width else (),
        tapped_wall(strip, sharp, strip.rows(*run), width_px),
        part.dip,
        mouth.wide_to_px,
        mouth.straight_to_px,
    )


@dataclass(frozen=True, slots=True)
class _LastPart:
    """How clear a channel's last part is, the least dip seen, how burnt out the metal is below.

    `deep_px` is where it ends below the platform, and `opened` whether it is open up to there.
    """

    clear: float
    threshold: float
    burnt: float
    deep_px: float
    opened: bool

    @property
    def weak(self) -> bool:
        """Whether it may run on unseen."""
        all_burnt = CLEAR_BURNT * (self.burnt > ALL_BURNT)
        return self.clear < max(CLEAR_END * self.threshold, all_burnt)

    @property
    def burns_out(self) -> bool:
        """Whether it may run on unseen into burnt-out metal, which narrows what is seen of it."""
        return self.weak and self.burnt > BURNT

    def fades(self, width: Quantity) -> bool:
        """Whether its end is lost in the metal, told by the width as well."""
        if self.burns_out:
            return self.opened or not width or self.burnt < ALL_BURNT
        if width and self.threshold <= OVER_BONE:
            weak = self.clear < WALLS_CLEAR_END * self.threshold
        else:
            weak = self.weak
        index = self.opened and not (width and self.deep_px > DEEPER * width.value)
        return weak or (index and self.burnt > ALL_BURNT and self.clear < CLEAR_OPEN_BURNT)

    def is_even_end(self, part: Part) -> bool:
        """Whether it is the empty end below a screw, as clear where it ends as higher up."""
        return part.empty_end and not self.opened and self.clear > EVEN * part.strongest

    def width(self, width: Quantity, *, faded: bool) -> Quantity:
        """None where its walls are no clearer than its end, as a chamber's never are.

        Beside metal that burns it out it looks narrower, by how much is less sure.
        """
        if faded and (self.burns_out or not self.opened):
            return NotMeasured(FADED)
        if not width or not self.burns_out:
            return width
        parts = parts_of(width)
        parts["burnt_out"] = float(np.hypot(parts.get("burnt_out", 0.0), UNSURE_STD * width.value))
        return from_parts(width.value, width.unit, **parts)


@dataclass(frozen=True, slots=True)
class _Walls:
    """Heights between which the parallel part is seen, px, and where it ends."""

    from_px: float
    last_px: float
    floor_px: float
    pierced: bool


def _walls(strip: Strip, sharp: Floats, seen_px: tuple[float, float], body_px: float) -> _Walls:
    along = row_dip(strip, sharp, body_px, 1.2)
    rows = strip.rows(*seen_px)
    wide_px = np.zeros(len(along))
    wide_px[rows] = row_widths(strip, sharp, rows, body_px)
    seen = channel_alone(strip, seen_px, along[rows], wide_px[rows], body_px)
    wide = rough_width(strip, sharp, seen, body_px)
    last = parallel_end(strip, along, seen, wide)
    last = below_a_ledge(strip, along, wide_px, end_px=last, last_px=seen[1], width_px=wide)
    floor = floor_at(strip, along, last, wide)
    return _Walls(seen[0], last, floor, pierced_from(along[rows]) is not None)


def _depth(end: Measured, platform: Measured, unsure: NotMeasured | None) -> Quantity:
    if unsure is not None:
        return unsure
    return from_parts(end.value - platform.value, "px", **parts_of(end, platform))


def _unsure(
    *, alone: bool, faded: bool, pierced: bool, aslant: bool, other: bool
) -> NotMeasured | None:
    """Why the end that is seen may not be the channel's."""
    if faded:
        return NotMeasured(FADED)
    if pierced:
        return NotMeasured("a hole through the body hides where the channel ends")
    if aslant:
        return NotMeasured("the channel's end lies aslant: what is left of a screw, or a hole")
    if other:
        return NotMeasured("what is seen farthest down does not look like a channel's own end")
    return NotMeasured(INDEX_ALONE) if alone else None


def _burnt_below(strip: Strip, floor_px: float, body_px: float) -> float:
    """How much of the metal below the channel's floor is burnt out."""
    near, far = (floor_px + share * body_px for share in BELOW)
    return burnt_share(strip, near, far, BELOW[0] / 2 * body_px)


def _present(clear: float) -> Finding:
    """By how far the dip stands above what the body shows elsewhere."""
    return Finding("present", float(np.clip(1 - 0.5 * np.exp(-clear / 1.5), 0.5, 0.98)))


def _nothing_seen(gaps: GapMap, covered: float) -> Bore:
    if covered > 0.5 or gaps.faint:
        why = "something is seated on the platform and fills the channel"
        why = why if covered > 0.5 else TOO_FAINT
        finding = Finding("not assessable", 1.0, why)
    else:
        why = "no channel is seen inside the body"
        finding = Finding("absent", 0.75, why)
    nothing = NotMeasured(why)
    return Bore(finding, nothing, nothing, nothing, nothing, nothing)
