"""From the platform's plane to the apex, along the axis."""

from __future__ import annotations

import numpy as np

from features.apex import apical_width, tip_stray
from features.body import Body
from features.end_shape import TILTS_DEG as END_TILTS_DEG
from features.marked import joined, meet
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.slant import TILTS_DEG, Floats

OPEN_OVERHANG = 0.43  # of the width: an open end's rim, seen on the axis (simulated)
FADING = 0.05  # of the width (simulated)
ANY_OVERHANG, ANY_OVERHANG_STD = 0.2, 0.15  # of the width: an end of unknown shape (simulated)


def length(body: Body) -> Quantity:
    """Platform to apex in px, with what a tilted beam does undone as far as it is known."""
    if isinstance(body.tip, NotMeasured) and "outside" in body.tip.reason:
        return body.tip
    end, over, over_std = _end(body)
    seen = end.value - body.edge.value - body.rim_px * body.slant.overhang - over
    widths_long = body.length_px / body.width_px
    value, std = body.slant.mean(seen / body.slant.shown(widths_long))
    tilt = float(np.hypot(std, body.slant.film_std() * value))
    parts = parts_of(body.edge, end) | {"tilt": tilt, "end_shape": over_std}
    return from_parts(value, "px", **parts)


def _end(body: Body) -> tuple[Measured, Floats, float]:
    """Where the film, and the hand, see the end, and how far that lies beyond the apex, px.

    The hand marks the apex itself; a thin tip may fade into the bone.
    """
    click = from_parts(body.strip.axis.length_px, "px", marks=1.5 * body.mark.std_px)
    if not body.tip:
        return click, 0.0 * TILTS_DEG, 0.0
    over, over_std = _beyond_apex(body)
    tip = from_parts(body.tip.value, "px", **parts_of(body.tip), fading=_fading(body))
    beyond, unsure = body.slant.mean(over)
    apex = from_parts(tip.value - beyond, "px", **parts_of(tip))
    stray = (1 - _pointed(body)) * tip_stray(body.strip, body.outline, tip.value)
    meeting = meet(apex, click, stray=stray, besides_px=float(np.hypot(unsure, over_std)))
    return joined(tip, click, meeting), meeting.share * over, meeting.share * over_std


def _fading(body: Body) -> float:
    """How far a pointed end may be misread where its thin tip fades into the bone, px."""
    return FADING * _pointed(body) * apical_width(body.outline, body.tip_px)


def _pointed(body: Body) -> float:
    return body.end_shape.chances["pointed"] if body.end_shape else 0.0


def _beyond_apex(body: Body) -> tuple[Floats, float]:
    """How far the silhouette's tip lies beyond the apex at every tilt, and how sure that is, px."""
    width = apical_width(body.outline, body.tip_px)
    if body.opened > 0.5:
        return OPEN_OVERHANG * width * body.slant.overhang, 0.0
    shape = body.end_shape
    if shape is None:
        share, std = ANY_OVERHANG * width, ANY_OVERHANG_STD * width
        return share * body.slant.overhang, std * body.slant.mean(body.slant.overhang)[0]
    over = np.interp(np.abs(TILTS_DEG), END_TILTS_DEG, shape.overhang)
    spread = np.interp(np.abs(TILTS_DEG), END_TILTS_DEG, shape.overhang_std)
    return width * over, width * body.slant.mean(spread)[0]
