"""The channel from the platform: its width, where it ends, its mouth and its cone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, stats

from features.channel_rows import SEEN, channel_rows, parallel_end, row_dip, seen_at
from features.channel_width import (
    BLUR_PX,
    EMPTY,
    INDEX_ALONE,
    LEVEL,
    rough_width,
    round_over,
    sharp_dip,
    tapped_width,
)
from features.finding import Finding
from features.gaps import GapMap
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.strip import Strip

Floats = NDArray[np.float64]

LEAST_CONE_DEG = 3.0  # per side: less cannot be told from a parallel channel
ONE_CONE_DEG = 5.0  # between the upper and the lower half: more is not one cone (a judgement)
MOUTH = 0.05  # of the body width: height of the mouth
OPEN_ABOVE = 0.10  # of the length: a channel starting higher than this is open to the platform
FLOOR_SEEN = 0.15  # of the body width: how far below its end the channel's floor is looked at


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
    dips = row_dip(strip, gaps.dip, width_px)
    top = platform.value
    threshold = seen_at(strip, dips, top, tip_px)
    seen = channel_rows(strip, dips, threshold, top, tip_px)
    if seen is None or gaps.faint:
        return _nothing_seen(gaps, covered)
    sharp = sharp_dip(strip, gaps, width_px, (seen[0], seen[1] + FLOOR_SEEN * width_px))
    along = row_dip(strip, sharp, width_px, 1.2)
    run = seen[0], parallel_end(strip, along, seen, rough_width(strip, sharp, seen, width_px))
    open_above = run[0] - top < OPEN_ABOVE * (tip_px - top)
    clear = float(np.median(dips[strip.rows(*run)])) / threshold
    certainty = float(np.clip(0.5 + 0.5 * (1 - np.exp(-clear / 1.5)), 0.5, 0.98))
    width, rows = tapped_width(strip, sharp, run, body_px=width_px, top_px=top)
    end = from_parts(run[1], "px", channel_end=0.02 * tip_px + 1.0)
    depth: Quantity = from_parts(run[1] - top, "px", **parts_of(end, platform))
    if isinstance(width, NotMeasured) and width.reason == INDEX_ALONE:
        depth = NotMeasured(INDEX_ALONE)
    mouth, cone = _mouth(
        strip, sharp, run, body_px=width_px, covered=covered if open_above else 1.0
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


def _mouth(
    strip: Strip,
    sharp: Floats,
    run: tuple[float, float],
    *,
    body_px: float,
    covered: float,
) -> tuple[Quantity, Quantity]:
    if covered > 0.5:
        filled = NotMeasured("the mouth is filled by what is seated in it")
        return filled, filled
    first, last = run
    z, opening = _openings(strip, sharp, first, last)
    if len(z) < 6 or z[0] > first + 0.1 * (last - first):
        unclear = NotMeasured("the mouth of the channel is not clear enough to measure")
        return unclear, unclear
    top = z <= z[0] + max(MOUTH * body_px, 3 * strip.step_px)
    wide = float(np.percentile(opening[top], 90))
    mouth = from_parts(wide, "px", blur=1.5, channel_wall=0.08 * wide)
    upper = z <= z[0] + 0.4 * (last - first)
    cone = _slope_deg(z[upper], opening[upper])
    half = len(z[upper]) // 2
    halves = [_slope_deg(z[part], opening[part]) for part in (slice(half), slice(half, 2 * half))]
    if abs(halves[0] - halves[1]) > ONE_CONE_DEG:
        return mouth, NotMeasured("the walls below the mouth do not run as one cone")
    if cone < LEAST_CONE_DEG:
        why = "the channel's walls look parallel; a short bevel at the mouth would not show"
        return mouth, NotMeasured(why)
    return mouth, Measured(cone, 4.0, "deg")


def _slope_deg(z: Floats, opening: Floats) -> float:
    """Half-angle of the walls over some rows."""
    return float(np.degrees(np.arctan(-stats.siegelslopes(opening / 2, z).slope)))


def _openings(strip: Strip, sharp: Floats, first: float, last: float) -> tuple[Floats, Floats]:
    """Width of the gap row by row, at the same level, over the tapped wall's roots."""
    dip = sharp[strip.rows(first, last)]
    turn = max(round(0.04 * (last - first) / strip.step_px), 3)
    deepest = dip.max(axis=1)
    empty = np.median(dip[:, strip.columns(-2, 2)], axis=1) > EMPTY * deepest
    wide = (dip > LEVEL * deepest[:, None]).sum(axis=1) * strip.step_px * round_over(
        LEVEL
    ) + 2 * BLUR_PX
    wide = ndimage.percentile_filter(wide, 85, size=turn)
    seen = (deepest > SEEN) & empty
    return strip.z_px[strip.rows(first, last)][seen], wide[seen]
