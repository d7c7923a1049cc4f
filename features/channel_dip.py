"""How far a channel's rows dip, and how wide they are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.channel_part import CENTRAL
from features.gaps import CLOSING, GapMap
from features.smoothing import Picture, blurred, closed
from features.strip import Strip

Floats = NDArray[np.float64]

HALF_TURN = 0.06  # of the body width: rows among which a tap has a root
ROW_LEVEL = 0.3  # of a row's deepest dip: where a row's width is taken
INNER = 0.33  # of the body width: the roots of the body's own thread lie farther out (simulated)
CUT_OFF = 0.1  # of a row's deepest dip there: less is full metal, and what lies beyond another gap


def sharp_dip(strip: Strip, gaps: GapMap, body_px: float, rows_px: tuple[float, float]) -> Floats:
    """The dip without the smoothing that suits the whole map: a tap is fine. Elsewhere 0."""
    rows = strip.rows(*rows_px)
    sharpness = 1.0 / strip.step_px
    grey = blurred(strip.pixels[rows], sharpness, sharpness)
    size = max(round(CLOSING * body_px / strip.step_px), 3) | 1
    inside = strip.columns(-0.46 * body_px, 0.46 * body_px)
    dip = np.zeros_like(strip.pixels)
    dip[rows, inside] = (closed(grey, 1, size, inside) - grey[:, inside]) / max(gaps.contrast, 1e-6)
    return dip


def own_gap(dip: Picture, t_px: Floats, body_px: float) -> Floats:
    """Dip across without what full metal parts from the channel: the roots of the body's thread."""
    inner = np.abs(t_px) < INNER * body_px
    metal = dip < CUT_OFF * dip[..., inner].max(axis=-1, keepdims=True)
    cut_off = np.zeros_like(metal)
    for side in (t_px >= 0, t_px < 0):
        outward = slice(None, None, 1 if t_px[side][-1] > 0 else -1)
        outer = (metal & ~inner)[..., side][..., outward]
        cut_off[..., side] = np.logical_or.accumulate(outer, axis=-1)[..., outward]
    return np.where(cut_off, 0.0, dip)


def row_widths(strip: Strip, sharp: Floats, rows: slice, body_px: float) -> Floats:
    """Width of each row's gap, px, where the tap's roots lie: the emptiest rows about it."""
    columns = strip.columns(-CENTRAL * body_px, CENTRAL * body_px)
    turn = max(round(HALF_TURN * body_px / strip.step_px), 3)
    soft = blurred(sharp[rows, columns], 1.0 / strip.step_px, 0.0)
    dip = own_gap(soft, strip.t_px[columns], body_px)
    dip = ndimage.maximum_filter1d(dip, turn, axis=0)
    over = dip > ROW_LEVEL * dip.max(axis=1)[:, None]
    return np.asarray(over.sum(axis=1) * strip.step_px * round_over(ROW_LEVEL))


def rough_width(strip: Strip, sharp: Floats, seen_px: tuple[float, float], body_px: float) -> float:
    """Width at half the dip where the channel ends, px."""
    first, last = seen_px
    rows = strip.rows(last - max(0.5 * (last - first), 3), last)
    near = sharp[rows, strip.columns(-CENTRAL * body_px, CENTRAL * body_px)].mean(axis=0)
    return float((near > 0.5 * near.max()).sum() * strip.step_px)


def round_over(level: float) -> float:
    """A round channel's own width over that of its dip at a level (derived)."""
    return float(1 / np.sqrt(1 - level**2))
