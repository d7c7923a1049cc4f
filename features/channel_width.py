"""How wide the narrow, tapped part of a channel is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.burnt_out import hidden_share
from features.channel_dip import ROW_LEVEL, own_gap, round_over, row_widths
from features.channel_part import CENTRAL
from features.channel_rows import LEAST_SEEN
from features.drill_point import ends_in_a_point
from features.quantity import NotMeasured, Quantity, from_parts
from features.smoothing import blurred
from features.strip import Strip

Floats = NDArray[np.float64]
Trace = tuple[tuple[float, float, float], ...]

EMPTY = 0.6  # of the deepest dip: less on the axis and the channel holds something
EMPTIEST = 95  # percentile of the rows: where the tap's roots lie
BLUR_PX = (
    1.7  # per side: the bright line between wall and channel peaks this far inside (simulated)
)
LEVEL = 0.12  # of the deepest dip: where its width is taken …
HIGHEST_LEVEL = 0.5  # … or up to here where the channel is faint
FAINT, FAINT_ALONG_PX = 0.08, 2.0  # dip: less and the rows are smoothed first
FAINT_STD = 0.006  # of the width, over the dip: a faint channel's walls are lost in the metal's
WIDTH_STD = 0.06  # of the width: screw thread, tone curve and a not quite round dip (simulated)
HIDDEN_STD = 0.5  # of what burnt-out metal hides of the width (simulated)
ALIKE = 0.14  # of the width: more is another part of the channel (simulated)
BOTTOM = 0.10  # of the body width: least height of a part told by its width (simulated)
UNREAD_BELOW = 0.5  # of the width: more of the channel below the rows read is another part …
TALL_BELOW, NARROWER = 0.15, 0.7  # … or, of the body width, so tall a part so much narrower
GRAIN, UNEVEN = 0.3, 0.62  # usual dip over the emptiest: less is grain; less is half grain
SMOOTH = 0.9  # … and more is a wall without a screw thread
FILLED = 0.3  # of the usual dip: less, and something fills the channel
WIDENED = 1.3  # of the narrowest above: a drilled channel nowhere widens downward
WIDEST_WELL = 0.65  # of the body: what is short and wider may as well be an index (simulated)
OPEN = 0.2  # of the body width: what is seen from here on is open, not the end below a screw
FLAT = 0.9  # of the width, where the dip is half gone: a drill's cone has narrowed by then
NO_DEEPER, SHORT, SHORT_BURNT = 1.0, 1.55, 1.5  # depth over width of what may be the index alone
# of the metal below: more, and a narrower part would not be seen there; or what fades into it may
# look like a drill's point (simulated)
BURNT, POINT_BURNT, UNBURNT = 0.3, 0.6, 0.05
PLAIN = 0.75  # usual dip over the emptiest: more, and a flat floor, is a well without a tap
UNSURE_STD = 0.2  # of the width: of what is half grain, or may be the index (simulated)
NARROW_UNREAD = "the narrow part of the channel is too faint to measure its width"
FILLED_THERE = "something stands in the channel here, so its width is not clear"
INDEX_ALONE = "only a short wide part is seen, which may be the index with the screw thread hidden"


def tapped_width(
    strip: Strip,
    sharp: Floats,
    run_px: tuple[float, float],
    *,
    body_px: float,
    top_px: float,
    burnt: float = 0.0,
) -> tuple[Quantity, Trace]:
    """Major diameter of the tapped part, and where it was taken.

    A tapped wall swings between crest and root, so the rows are not averaged: at each distance
    from the axis the emptiest rows speak. A faint channel is taken at a higher level, above what
    the metal beside it shows.

    Parameters
    ----------
    strip
    sharp : (Z, T) array
        As from `sharp_dip`.
    run_px : (from, to)
        Where the channel runs, its drill cone left out.
    body_px, top_px : float
        Width of the body and height of the platform.
    burnt : float
        How much of the metal below is burnt out, so that a narrower part would not be seen there.
    """
    wide_px = row_widths(strip, sharp, strip.rows(*run_px), body_px)
    part = _lowest_part(strip, sharp, wide_px, run_px, body_px)
    above = _above_a_hole(strip, sharp, wide_px, run_px, body_px)
    if part and above:
        narrow = _lowest_part(strip, sharp, wide_px, above, body_px)
        if narrow and part.wide_px > WIDENED * narrow.wide_px:
            run_px, part = above, narrow
    if isinstance(part, NotMeasured):
        return part, ()
    value = part.wide_px
    deep = (run_px[1] - top_px) / value
    if _unread_below(strip, sharp, part, run_px[1], body_px):
        return NotMeasured(NARROW_UNREAD), ()
    wide = value > WIDEST_WELL * body_px
    opened = opens(run_px, top_px, body_px)
    doubt = _doubt(
        strip, sharp, part, _Channel(run_px[1], deep, wide=wide, opened=opened, burnt_share=burnt)
    )
    if isinstance(doubt, NotMeasured):
        return doubt, ()
    wall = value * float(np.hypot(WIDTH_STD, FAINT_STD / part.deepest))
    ends, walls = (part.from_px, part.to_px), (part.left_px, part.right_px)
    hidden = hidden_share(strip, ends, walls, body_px)
    left, right = (t / (1 - hidden) for t in walls)
    stds = {"blur": 1.5, "channel_wall": float(np.hypot(wall, doubt))}
    if hidden:
        stds["burnt_out"] = HIDDEN_STD * hidden * value
    return from_parts(right - left, "px", **stds), tuple((z, left, right) for z in ends)


def _unread_below(strip: Strip, sharp: Floats, part: _Part, end_px: float, body_px: float) -> bool:
    """Whether below the rows read the channel goes on long, or narrower, as it does in a tap."""
    rows = strip.rows(part.to_px + strip.step_px, end_px)
    if end_px - part.to_px > UNREAD_BELOW * part.wide_px:
        return True
    if end_px - part.to_px < TALL_BELOW * body_px:
        return False
    return bool(np.median(row_widths(strip, sharp, rows, body_px)) < NARROWER * part.wide_px)


def opens(run_px: tuple[float, float], top_px: float, body_px: float) -> bool:
    """Whether what is seen of a channel reaches up to its mouth."""
    return run_px[0] - top_px < OPEN * body_px


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of one width: where it lies, px, its walls' distance from the axis, how it dips."""

    from_px: float
    to_px: float
    left_px: float
    right_px: float
    deepest: float

    @property
    def wide_px(self) -> float:
        """From wall to wall."""
        return self.right_px - self.left_px


def _lowest_part(
    strip: Strip, sharp: Floats, wide_px: Floats, run_px: tuple[float, float], body_px: float
) -> _Part | NotMeasured:
    """The lowest part of one width: above lies an index or a funnel, below the drill's cone."""
    part_px = _lowest_rows(strip, wide_px, run_px, body_px)
    dips = sharp[strip.rows(*part_px)]
    if len(dips) < 3:
        return NotMeasured("too little of the channel is seen to measure its width")
    dip = _emptiest(dips, strip.step_px)
    near = strip.columns(-CENTRAL * body_px, CENTRAL * body_px)
    dip[near] = own_gap(dip[near] - np.percentile(dip[near], 5), strip.t_px[near], body_px)
    deepest = float(dip[near].max())
    noise = float(np.std(np.diff(dip[near]))) + 1e-6
    level = float(np.clip(4 * noise / max(deepest, 1e-6), LEVEL, HIGHEST_LEVEL))
    wide = np.flatnonzero(_run_through(dip > level * deepest, strip, body_px))
    if len(wide) < 2 or deepest < LEAST_SEEN:
        return NotMeasured("the channel's walls are not clear enough to measure")
    if _on_axis(strip, dip) < EMPTY * deepest:
        return NotMeasured(FILLED_THERE)
    wider = round_over(level)
    left, right = (float(strip.t_px[wide[end]]) * wider for end in (0, -1))
    return _Part(*part_px, left - BLUR_PX, right + BLUR_PX, deepest)


def _emptiest(dips: Floats, step_px: float) -> Floats:
    """Dip across where the tap's roots lie; of a faint channel the emptiest rows are its grain."""
    dip = np.percentile(dips, EMPTIEST, axis=0)
    if dip.max() > FAINT:
        return np.asarray(dip)
    smooth = blurred(dips, FAINT_ALONG_PX / step_px, 1.0 / step_px)
    return np.asarray(np.percentile(smooth, EMPTIEST, axis=0))


@dataclass(frozen=True, slots=True)
class _Channel:
    """The channel round a part.

    How deep it is for its width, whether the part is too wide for a well, whether the channel is
    open to its mouth, how much of the metal below it is burnt out, and where it ends.
    """

    end_px: float
    deep: float
    wide: bool
    opened: bool
    burnt_share: float

    @property
    def burnt(self) -> bool:
        """Whether a narrower part below would be burnt out."""
        return self.burnt_share > BURNT


def _doubt(strip: Strip, sharp: Floats, part: _Part, channel: _Channel) -> float | NotMeasured:
    """What to add to the std where another part than the tap may have been read; or a refusal."""
    value, part_px = part.wide_px, (part.from_px, part.to_px)
    central = sharp[strip.rows(*part_px), strip.columns(-value / 2, value / 2)]
    usual = float(np.median(central, axis=0).max() / np.percentile(central, EMPTIEST, axis=0).max())
    if usual < GRAIN:
        return NotMeasured("the channel is no darker than the grain of the metal round it")
    told = usual > UNEVEN and channel.burnt_share < POINT_BURNT
    if told and ends_in_a_point(strip, sharp, channel.end_px, value):
        return 0.0
    flat = _flat_floor(strip, sharp, part_px, value)
    well = flat and usual > PLAIN and not channel.burnt
    shallow = channel.deep < (SHORT_BURNT if channel.burnt else NO_DEEPER) and not well
    short = channel.deep < SHORT
    bare = flat and channel.burnt_share < UNBURNT  # a narrower part would be seen below
    index_like = short and channel.wide and usual < SMOOTH and not bare
    if channel.opened and (shallow or index_like):  # below a screw there is no index
        return NotMeasured(INDEX_ALONE)
    smooth = flat or usual > SMOOTH
    return UNSURE_STD * value if usual < UNEVEN or (short and smooth) else 0.0


def _flat_floor(strip: Strip, sharp: Floats, part_px: tuple[float, float], value: float) -> bool:
    """Whether the channel keeps its width where it ends: a drill would have left a cone."""
    near = sharp[:, strip.columns(-0.8 * value, 0.8 * value)]
    below = blurred(near[strip.rows(part_px[1], part_px[1] + 0.6 * value)], 1.5, 0.0)
    part = near[strip.rows(*part_px)].mean(axis=0)
    faded = np.flatnonzero(below.max(axis=1) < 0.5 * part.max())
    if not len(faded):
        return False
    return bool(_over(below[faded[0]]).sum() > FLAT * _over(part).sum())


def _over(row: Floats) -> NDArray[np.bool_]:
    return np.asarray(row > ROW_LEVEL * row.max())


def _above_a_hole(
    strip: Strip, sharp: Floats, wide_px: Floats, run_px: tuple[float, float], body_px: float
) -> tuple[float, float] | None:
    """What lies above a place where the channel seems to widen: there, a hole crosses it."""
    rows = strip.rows(*run_px)
    least = max(round(BOTTOM * body_px / strip.step_px), 3)
    dips = sharp[rows, strip.columns(-CENTRAL * body_px, CENTRAL * body_px)].max(axis=1)
    wide = ndimage.median_filter(wide_px, least)
    wider = ndimage.binary_opening(wide > WIDENED * np.minimum.accumulate(wide), np.ones(least))
    first = int(np.argmax(wider))
    filled = dips[:first] < FILLED * np.median(dips)  # where a stump, say, bounds nothing
    if first <= 2 * least or filled[least:].any():
        return None
    return run_px[0], float(strip.z_px[rows][first - 1])


def _lowest_rows(
    strip: Strip, wide_px: Floats, run_px: tuple[float, float], body_px: float
) -> tuple[float, float]:
    """From where to where the lowest part of one width lies."""
    rows = strip.rows(*run_px)
    wide = wide_px[: rows.stop - rows.start]
    least = max(round(BOTTOM * body_px / strip.step_px), 3)
    low, high = _lowest_alike(wide, least)
    half = min(round(0.45 * len(wide)), max(high - least, 0))
    return float(strip.z_px[rows][max(low, half)]), float(strip.z_px[rows][high])


def _lowest_alike(wide: Floats, least: int) -> tuple[int, int]:
    """First and last row of the lowest stretch whose widths differ by `ALIKE` at most."""
    for high in range(len(wide) - 1, least - 1, -1):
        here = float(np.median(wide[high - least // 2 : high + 1]))
        other = np.flatnonzero(np.abs(wide[: high + 1] - here) > ALIKE * here)
        low = int(other[-1]) + 1 if len(other) else 0
        if high - low >= least:
            return low, high
    return 0, len(wide) - 1


def _on_axis(strip: Strip, dip: Floats) -> float:
    """Dip on the axis: shallow where a screw leaves only a dark line on either side of it."""
    return float(np.median(dip[..., strip.columns(-2, 2)]))


def _run_through(seen: NDArray[np.bool_], strip: Strip, body_px: float) -> NDArray[np.bool_]:
    """The longest unbroken run near the axis."""
    near = np.abs(strip.t_px) < 0.48 * body_px
    labels, count = ndimage.label(seen & near)
    if not count:
        return np.zeros_like(seen)
    sizes = ndimage.sum_labels(seen, labels, np.arange(1, count + 1))
    return np.asarray(labels == 1 + int(np.argmax(sizes)))
