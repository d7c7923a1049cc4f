"""Where each number was taken, in film pixels, to be drawn over the film."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from features.body import Body
from features.bore import Bore
from features.finding import Vent
from features.marks import Point
from features.screw_gap import Gap
from features.strip import Axis, Strip
from features.threads import Thread
from features.widths import Walls

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Trace:
    """A line, a row of spots or a ring that belongs to one measure or finding.

    `measure` is the key of the measure or finding; `kind` says how the points join.
    """

    measure: str
    kind: Literal["line", "spots", "ring"]
    points_px: tuple[Point, ...]


def all_traces(
    body: Body,
    channel: Bore,
    gap: Gap | None,
    holes: tuple[tuple[Vent, float], ...],
    *,
    opened: bool,
) -> tuple[Trace, ...]:
    """Where every number of one implant was taken; `opened`: its channel is open to the top."""
    boxes: list[Trace | None] = [
        vent_trace(body.strip, vent, t, tip_px=body.tip_px, body_px=body.width_px)
        for vent, t in holes
    ]
    lines = outline_traces(
        body.walls, body.thread, channel, platform_px=body.platform.value, tip_px=body.tip_px
    )
    axis, platform_px = body.strip.axis, body.platform.value
    if gap:
        boxes.append(gap_trace(axis, gap, platform_px))
    elif opened:
        boxes.append(space_trace(axis, channel, platform_px))
    return lines + tuple(box for box in boxes if box)


def outline_traces(
    walls: Walls, thread: Thread, channel: Bore, *, platform_px: float, tip_px: float
) -> tuple[Trace, ...]:
    """Walls, platform, apex, widths, crests and channel."""
    axis = walls.strip.axis
    length = tip_px - platform_px
    traces = [
        _wall(walls, -1.0),
        _wall(walls, 1.0),
        Trace("length", "line", (axis.to_film(platform_px, 0), axis.to_film(tip_px, 0))),
        _across(walls, "platform_width", platform_px + 2),
        _across(walls, "coronal_width", platform_px + 0.25 * length),
        _across(walls, "apical_width", platform_px + 0.75 * length),
        *_crests(walls, thread),
        *_channel(axis, channel),
    ]
    return tuple(traces)


def vent_trace(
    strip: Strip, vent: Vent, t_px: float, *, tip_px: float, body_px: float
) -> Trace | None:
    """A box round one vent; right across the body (`body_px` wide) where only a band is seen."""
    if not vent.from_apex or not vent.height:
        return None
    z = tip_px - vent.from_apex.value
    across = (vent.width.value if vent.width else body_px) / 2
    along = vent.height.value / 2
    corners = ((-along, -across), (-along, across), (along, across), (along, -across))
    return Trace("vents", "ring", tuple(strip.axis.to_film(z + a, t_px + c) for a, c in corners))


def gap_trace(axis: Axis, gap: Gap, platform_px: float) -> Trace:
    """A box round the gap beside a screw, down to where the space for a part ends."""
    top, end = (platform_px + height * gap.rim_px for height in (gap.begins, gap.narrows))
    return _space(axis, top, end, gap.wide * gap.rim_px / 2)


def space_trace(axis: Axis, channel: Bore, platform_px: float) -> Trace | None:
    """The same in a channel that is open; None where there is no such space."""
    if not channel.wide_to_px or not channel.mouth_px:
        return None
    return _space(axis, platform_px, platform_px + channel.wide_to_px, channel.mouth_px.value / 2)


def _space(axis: Axis, top: float, end: float, half: float) -> Trace:
    corners = ((top, -half), (top, half), (end, half), (end, -half))
    return Trace("connection_depth", "ring", tuple(axis.to_film(*corner) for corner in corners))


def _wall(walls: Walls, side: float) -> Trace:
    outline = walls.outline
    edge = outline.left_px if side < 0 else outline.right_px
    every = max(len(edge) // 200, 1)
    points = zip(outline.z_px[::every], edge[::every], strict=True)
    axis = walls.strip.axis
    return Trace(
        "outline", "line", tuple(axis.to_film(float(z), side * float(t)) for z, t in points)
    )


def _across(walls: Walls, measure: str, z_px: float) -> Trace:
    outline = walls.outline
    left = float(np.interp(z_px, outline.z_px, outline.left_px))
    right = float(np.interp(z_px, outline.z_px, outline.right_px))
    axis = walls.strip.axis
    return Trace(measure, "line", (axis.to_film(z_px, -left), axis.to_film(z_px, right)))


def _crests(walls: Walls, thread: Thread) -> list[Trace]:
    axis, z = walls.strip.axis, walls.outline.z_px
    traces = []
    for side, edge, crests in (
        (-1.0, walls.outline.left_px, thread.crests_left_px),
        (1.0, walls.outline.right_px, thread.crests_right_px),
    ):
        spots = tuple(axis.to_film(c, side * float(np.interp(c, z, edge))) for c in crests)
        traces += [Trace("thread_pitch", "spots", spots)] if spots else []
    return traces


def _channel(axis: Axis, channel: Bore) -> list[Trace]:
    traces = []
    if len(channel.edges_px) == 2:
        (z1, left, right), (z2, *_) = channel.edges_px
        corners = ((z1, left), (z1, right), (z2, right), (z2, left))
        traces.append(Trace("bore_width", "ring", tuple(axis.to_film(*c) for c in corners)))
    if channel.end_px:
        z = channel.end_px.value
        half = abs(channel.edges_px[0][1]) if channel.edges_px else 3.0
        traces.append(Trace("bore_depth", "line", (axis.to_film(z, -half), axis.to_film(z, half))))
    return traces
