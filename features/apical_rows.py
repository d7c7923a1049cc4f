"""The lower part of a body as flutes are looked for in it: its rows, inside the thread's roots."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.body import Body
from features.bore import Bore
from features.cross_hole import CrossHole
from features.outline import Outline

Floats = NDArray[np.float64]

TOP = 0.3  # of the length: as much sound body above the flutes as there is below the channel
# of the width: a channel's drilled end; what the platform of a flat end, and the dip of a gap,
# blur (simulated)
DRILLED, END, BESIDE = 0.15, 0.05, 0.04
FULL = 0.88  # of the width that the walls point to: below, the end is rounded off (simulated)
WHOLE = 0.75  # of the length: no end is rounded off above
# of the radius, of the roots and of the narrowest row: how far out columns are sound metal
OUTERMOST, IN_ROOTS, IN_NARROWEST = 0.8, 0.97, 1.08
ROOTS = 20  # percentile of the rows' narrowest within a turn
ROW = 0.02  # of the width, from one row to the next
COLUMNS = 51
FEWEST = 5  # rows, once a turn of the thread is averaged out


@dataclass(frozen=True, slots=True, eq=False)
class ApicalRows:
    """Grey by rows and columns, a turn of the thread averaged out.

    Attributes
    ----------
    z_px : (Z,) array
        Heights on the strip; rows at holes and dark gaps are left out.
    u : (U,) array
        Places across, in radii of the lower body.
    grey : (Z, U) array
        As part of the body's contrast.
    step_px, turn_px : float
        From one row to the next, and how much of the axis each averages.
    """

    z_px: Floats
    u: Floats
    grey: Floats
    step_px: float
    turn_px: float


@dataclass(frozen=True, slots=True)
class _Part:
    """Where the rows end, in px; and the columns: middle, radius and how far out they reach."""

    end_px: float
    middle_px: float
    radius_px: float
    reach_px: float


def apical_rows(body: Body, channel: Bore, hole: CrossHole | None) -> ApicalRows | None:
    """Rows between the channel's end and the body's; None where too few are clear of holes."""
    width, tip = body.width_px, body.tip_px
    pitch = body.thread.pitch_px.value if body.thread.pitch_px else 0.0
    top = TOP * tip
    if channel.finding.state == "present" and channel.end_px:
        top = max(top, channel.end_px.value + DRILLED * width)
    part = _part(body.outline, tip, width, pitch)
    step = max(ROW * width, 1.0)
    turn = max(round(pitch / step), 1)
    if part is None or part.end_px - top < (turn + FEWEST - 1) * step:
        return None
    z = np.arange(top, part.end_px, step)
    reach = part.reach_px / part.radius_px
    u = np.linspace(-reach, reach, COLUMNS)
    grey = body.strip.at(z[:, None], part.middle_px + part.radius_px * u) / body.gap_map.contrast
    z, grey = _over_turns(z, turn), _over_turns(grey, turn)
    clear = _clear(z, body, hole, beside_px=turn * step / 2 + BESIDE * width)
    if clear.sum() < FEWEST:
        return None
    return ApicalRows(z[clear], u, grey[clear], step, turn * step)


def _part(outline: Outline, tip: float, width: float, pitch: float) -> _Part | None:
    step = outline.z_px[1] - outline.z_px[0]
    size = int(max(1.2 * pitch, 0.05 * width) / step) | 1
    crests = ndimage.maximum_filter1d(outline.width_px, size) / 2
    roots = ndimage.minimum_filter1d(outline.width_px, size) / 2
    end = _end(outline, crests, tip, size // 2 * step) - END * width
    lower = outline.between(min(0.7 * tip, end - 0.15 * width), end)
    whole, above = outline.between(0.6 * tip, end), outline.between(0.5 * tip, 0.85 * tip)
    if not (lower.any() and whole.any() and above.any()):
        return None
    radius = float(np.median(crests[lower]))
    reach = min(
        OUTERMOST * radius,
        IN_ROOTS * float(np.percentile(roots[above], ROOTS)),
        IN_NARROWEST * float(crests[whole].min()),
    )
    middle = (outline.right_px - outline.left_px)[outline.between(0.5 * tip, 0.9 * tip)] / 2
    return _Part(end, float(np.median(middle)), radius, reach)


def _end(outline: Outline, crests: Floats, tip: float, reached_px: float) -> float:
    """Height at which the end begins to be rounded off, or the tip."""
    z = outline.z_px
    straight = outline.between(0.35 * tip, 0.8 * tip)
    pointed_to = np.polyval(np.polyfit(z[straight], crests[straight], 1), z)
    off = np.flatnonzero((crests < FULL * pointed_to) & (z >= WHOLE * tip))
    return min(float(z[off[0]]) - reached_px if len(off) else float(z[-1]), tip)


def _over_turns(values: Floats, turn: int) -> Floats:
    """Means over every `turn` neighbouring rows."""
    sums = np.cumsum(np.concatenate([np.zeros((1, *values.shape[1:])), values]), axis=0)
    return np.asarray((sums[turn:] - sums[:-turn]) / turn)


def _clear(z: Floats, body: Body, hole: CrossHole | None, *, beside_px: float) -> NDArray[np.bool_]:
    """Rows that no hole and no dark gap reaches."""
    dark = [(gap.from_px, gap.to_px) for gap in body.gap_map.gaps]
    if hole is not None and hole.likely:
        dark.append((hole.z_px - hole.half_height_px, hole.z_px + hole.half_height_px))
    clear = np.ones(len(z), dtype=bool)
    for first, last in dark:
        clear &= (z < first - beside_px) | (z > last + beside_px)
    return clear
