"""The channel from the platform: its width, where it ends, its mouth and its cone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, stats
from scipy.ndimage import gaussian_filter as gaussian

from features.finding import Finding
from features.gaps import CLOSING, GapMap
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.strip import Strip

Floats = NDArray[np.float64]

CENTRAL = 0.42  # of the body width: a channel lies within this distance from the axis
SEEN = 0.10  # dip (part of the body's contrast) that always counts as missing metal …
LEAST_SEEN = 0.006  # … and the least that does, where the body is otherwise even
QUIET = 4  # percentile of the rows: what a body shows where there is no channel
FALLEN = 0.8  # of the dip above: less, and the drill cone has begun
WIDER_PART = 1.6  # of the dip at the channel's end: above, an index or a funnel is wider
MUCH_EMPTIER = 3.0  # than what was seen higher up, which then was no channel (simulated)
LEAST_CONE_DEG = 3.0  # per side: less cannot be told from a parallel channel
OPEN_ABOVE = 0.10  # of the length: a channel starting higher than this is open to the platform
STARTS = 0.40  # of the length: a channel's empty end below a screw starts higher than this
LOWEST_END = 0.93  # of the length: what runs on to the apex is a hollow body's core
STARTS_LOWEST, DEEPEST_LOWEST, THROUGH = 0.65, 0.82, 0.45  # … of a long screw; dip of a hole
DEEPEST = 0.60  # of the length: farther down a gap is a vent, not the channel
EMPTY = 0.6  # of the deepest dip: less on the axis and the channel holds something
EMPTIEST = 95  # percentile of the rows: where the tap's roots lie
BLUR_PX = (
    1.2  # per side: the bright line between wall and channel peaks this far inside (simulated)
)
LEVEL = 0.12  # of the deepest dip: where its width is taken …
HIGHEST_LEVEL = 0.5  # … or up to here where the channel is faint
FAINT_STD = 0.006  # of the width, over the dip: a faint channel's walls are lost in the metal's
WIDTH_STD = 0.06  # of the width: screw thread, tone curve and a not quite round dip (simulated)


@dataclass(frozen=True, slots=True)
class Bore:
    """What was seen of the channel; lengths in px.

    `end_px` is the strip's height where its parallel part ends, `depth_px` the same from the
    platform.
    """

    finding: Finding
    width_px: Quantity
    end_px: Quantity
    depth_px: Quantity
    mouth_px: Quantity
    cone_deg: Quantity
    edges_px: tuple[tuple[float, float, float], ...] = ()  # (z, left t, right t), for the overlay


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
    dips = _row_dip(strip, gaps, width_px)
    top = platform.value
    seen_at = _seen_at(strip, dips, top, tip_px)
    run = _channel_rows(strip, dips, seen_at, top, tip_px)
    if run is None or gaps.faint:
        return _nothing_seen(gaps, covered)
    first, last = run
    open_above = first - top < OPEN_ABOVE * (tip_px - top)
    strength = float(np.median(dips[strip.rows(first, last)]))
    clear = strength / seen_at
    certainty = float(np.clip(0.5 + 0.5 * (1 - np.exp(-clear / 1.5)), 0.5, 0.98))
    width, rows = _width(strip, gaps, _tapped_rows(strip, dips, first, last), width_px)
    end = from_parts(last, "px", channel_end=0.02 * tip_px + 1.0)
    depth = from_parts(last - top, "px", **parts_of(end, platform))
    mouth, cone = _mouth(
        strip, gaps, run, width, covered=covered if open_above else 1.0, body_px=width_px
    )
    return Bore(Finding("present", certainty), width, end, depth, mouth, cone, rows)


def _nothing_seen(gaps: GapMap, covered: float) -> Bore:
    if covered > 0.5 or gaps.faint:
        why = "something is seated on the platform and fills the channel"
        why = why if covered > 0.5 else "the body is burnt out or too faint to look inside"
        finding = Finding("not assessable", 1.0, why)
    else:
        why = "no channel is seen inside the body"
        finding = Finding("absent", 0.75, why)
    nothing = NotMeasured(why)
    return Bore(finding, nothing, nothing, nothing, nothing, nothing)


def _row_dip(strip: Strip, gaps: GapMap, width_px: float) -> Floats:
    """Strongest dip in each row that stands on both sides of the axis alike."""
    columns = strip.columns(-CENTRAL * width_px, CENTRAL * width_px)
    dip = gaps.dip[:, columns]
    mirrored = np.minimum(dip, dip[:, ::-1])
    strongest = np.sort(mirrored, axis=1)[:, -max(dip.shape[1] // 6, 2) :].mean(axis=1)
    return np.asarray(ndimage.gaussian_filter1d(strongest, 1.5 / strip.step_px))


def _seen_at(strip: Strip, dips: Floats, top_px: float, tip_px: float) -> float:
    """Dip that stands out from what this body shows where there is no channel."""
    body = strip.rows(top_px + 0.1 * (tip_px - top_px), top_px + 0.97 * (tip_px - top_px))
    quiet = float(np.percentile(dips[body], QUIET)) if body.stop > body.start else 0.0
    return float(np.clip(4 * quiet + 0.003, LEAST_SEEN, SEEN))


def _channel_rows(
    strip: Strip, dips: Floats, seen_at: float, top_px: float, tip_px: float
) -> tuple[float, float] | None:
    """From where to where the channel runs, px, or None."""
    seen = ndimage.binary_closing(dips > seen_at, iterations=max(round(1.5 / strip.step_px), 1))
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
            found = (found[0] if found else first, _parallel_end(strip, dips, first, last))
            strongest = float(dips[rows].max())
    return found


def _parallel_end(strip: Strip, dips: Floats, first: float, last: float) -> float:
    """Where the dip begins to fall: below, the drill has left a cone that does not count."""
    run = strip.rows(first, last)
    level = _end_level(dips[run])
    return float(strip.z_px[run][np.flatnonzero(dips[run] > FALLEN * level)[-1]])


def _end_level(run: Floats) -> float:
    """Dip of a channel's last part, its very end left out."""
    rows = len(run)
    return float(np.median(run[int(0.7 * rows) : max(int(0.94 * rows), int(0.7 * rows) + 1)]))


def _tapped_rows(strip: Strip, dips: Floats, first: float, last: float) -> tuple[float, float]:
    """The channel's narrow part: the rows above its end that are no emptier than its end."""
    run = dips[strip.rows(first, last)]
    wider = np.flatnonzero(run > WIDER_PART * _end_level(run))
    above = (int(wider[-1]) + 1) / len(run) if len(wider) else 0.0
    start = min(max(above + 0.04, 0.5), 0.8)
    return first + start * (last - first), first + 0.92 * (last - first)


def _width(
    strip: Strip, gaps: GapMap, rows_px: tuple[float, float], body_px: float
) -> tuple[Quantity, tuple[tuple[float, float, float], ...]]:
    """Major diameter of the tapped part.

    A tapped wall swings between crest and root, so the rows are not averaged: at each distance
    from the axis the emptiest rows speak. A faint channel is taken at a higher level, above what
    the metal beside it shows.
    """
    low, high = rows_px
    dips = _sharp_dip(strip, gaps, low, high, body_px)
    if len(dips) < 3:
        return NotMeasured("too little of the channel is seen to measure its width"), ()
    dip = np.percentile(dips, EMPTIEST, axis=0)
    near = strip.columns(-CENTRAL * body_px, CENTRAL * body_px)
    dip = dip - np.percentile(dip[near], 5)
    deepest = float(dip[near].max())
    noise = float(np.std(np.diff(dip[near]))) + 1e-6
    level = float(np.clip(4 * noise / max(deepest, 1e-6), LEVEL, HIGHEST_LEVEL))
    wide = np.flatnonzero(_run_through(dip > level * deepest, strip, body_px))
    if len(wide) < 2 or deepest < LEAST_SEEN:
        return NotMeasured("the channel's walls are not clear enough to measure"), ()
    if _on_axis(strip, dip) < EMPTY * deepest:
        return NotMeasured("something stands in the channel here, so its width is not clear"), ()
    wider = _round_over(level)
    left = float(strip.t_px[wide[0]]) * wider - BLUR_PX
    right = float(strip.t_px[wide[-1]]) * wider + BLUR_PX
    value = right - left
    trace = ((low, left, right), (high, left, right))
    wall = value * float(np.hypot(WIDTH_STD, FAINT_STD / deepest))
    return from_parts(value, "px", blur=1.5, channel_wall=wall), trace


def _round_over(level: float) -> float:
    """A round channel's own width over that of its dip at a level (derived)."""
    return float(1 / np.sqrt(1 - level**2))


def _on_axis(strip: Strip, dip: Floats) -> float:
    """Dip on the axis: shallow where a screw leaves only a dark line on either side of it."""
    return float(np.median(dip[..., strip.columns(-2, 2)]))


def _sharp_dip(strip: Strip, gaps: GapMap, from_px: float, to_px: float, body_px: float) -> Floats:
    """The dip of some rows without the smoothing that suits the whole map: a tap is fine."""
    grey = gaussian(strip.pixels[strip.rows(from_px, to_px)], 1.0 / strip.step_px)
    size = max(round(CLOSING * body_px / strip.step_px), 3)
    inside = np.abs(strip.t_px) < 0.46 * body_px
    dip = (ndimage.grey_closing(grey, size=(1, size)) - grey) * inside
    return np.asarray(dip / max(gaps.contrast, 1e-6))


def _run_through(seen: NDArray[np.bool_], strip: Strip, body_px: float) -> NDArray[np.bool_]:
    """The longest unbroken run near the axis."""
    near = np.abs(strip.t_px) < 0.48 * body_px
    labels, count = ndimage.label(seen & near)
    if not count:
        return np.zeros_like(seen)
    sizes = ndimage.sum_labels(seen, labels, np.arange(1, count + 1))
    return np.asarray(labels == 1 + int(np.argmax(sizes)))


def _mouth(
    strip: Strip,
    gaps: GapMap,
    run: tuple[float, float],
    width: Quantity,
    *,
    covered: float,
    body_px: float,
) -> tuple[Quantity, Quantity]:
    if covered > 0.5:
        filled = NotMeasured("the mouth is filled by what is seated in it")
        return filled, filled
    first, last = run
    z, opening = _openings(strip, gaps, first, last, body_px)
    if len(z) < 6 or not width or z[0] > first + 0.1 * (last - first):
        unclear = NotMeasured("the mouth of the channel is not clear enough to measure")
        return unclear, unclear
    top = z <= z[0] + max(0.1 * width.value, 3 * strip.step_px)
    wide = float(np.percentile(opening[top], 90))
    mouth = from_parts(wide, "px", blur=1.5, channel_wall=0.08 * wide)
    upper = z <= z[0] + 0.4 * (last - first)
    fit = stats.siegelslopes(opening[upper] / 2, z[upper])
    cone = float(np.degrees(np.arctan(-fit.slope)))
    if cone < LEAST_CONE_DEG:
        why = "the channel's walls look parallel; a short bevel at the mouth would not show"
        return mouth, NotMeasured(why)
    return mouth, Measured(cone, 4.0, "deg")


def _openings(
    strip: Strip, gaps: GapMap, first: float, last: float, body_px: float
) -> tuple[Floats, Floats]:
    """Width of the gap row by row, at the same level, over the tapped wall's roots."""
    dip = _sharp_dip(strip, gaps, first, last, body_px)
    turn = max(round(0.04 * (last - first) / strip.step_px), 3)
    deepest = dip.max(axis=1)
    empty = np.median(dip[:, strip.columns(-2, 2)], axis=1) > EMPTY * deepest
    wide = (dip > LEVEL * deepest[:, None]).sum(axis=1) * strip.step_px * _round_over(
        LEVEL
    ) + 2 * BLUR_PX
    wide = ndimage.percentile_filter(wide, 85, size=turn)
    seen = (deepest > SEEN) & empty
    return strip.z_px[strip.rows(first, last)][seen], wide[seen]
