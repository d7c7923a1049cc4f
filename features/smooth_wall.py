"""A smooth wall by the chord model, averaged along the straight line it follows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from features.edges import ChordEdge, fit_chord_edge
from features.median_line import median_line
from features.outline import Outline
from features.quantity import NotMeasured, Quantity, from_parts
from features.strip import Strip

PROFILE_PX = 10.0  # half length of an edge profile: the model holds near the rim only
EVEN_PX, ROUGH, ROUGHEST_PX = 0.35, 3.0, 2.5  # beads stand out from the mean wall (simulated)
MODEL_STD_PX = 0.35  # what the edge model itself may be wrong by, per wall, on smooth walls


def smooth_wall_at(
    strip: Strip,
    outline: Outline,
    side: float,
    z_px: float,
    reach_px: float,
    grained: Callable[[float], tuple[float, float]] = lambda _: (0.0, 0.0),
) -> Quantity:
    """Distance of a smooth wall from the axis by the chord model, in px.

    `grained` says how far grains reach beyond an edge of a given blur, and the std of that.
    """
    line = straight_line(outline, side, z_px - reach_px, z_px + reach_px)
    if line is None:
        return NotMeasured("too little of the wall is on the film here")
    edge = chord_along(strip, side, line, (z_px - reach_px, z_px + reach_px))
    if not edge.offset_px:
        return edge.offset_px
    rough = rough_px(line)
    grain, grain_std = grained(edge.blur_px)
    return from_parts(
        line.at(z_px) + edge.offset_px.value + max(rough, grain),
        "px",
        edge=edge.offset_px.std,
        edge_model=MODEL_STD_PX,
        uneven_wall=float(np.hypot(0.3 * line.scatter_px, 0.6 * rough if rough > grain else 0.0)),
        surface=grain_std,
    )


def rough_px(line: Line) -> float:
    """How far beads stand out from the mean wall."""
    return float(np.clip(ROUGH * (line.scatter_px - EVEN_PX), 0.0, ROUGHEST_PX))


@dataclass(frozen=True, slots=True)
class Line:
    """Distance from the axis as a straight line of z."""

    slope: float
    intercept_px: float
    scatter_px: float

    def at(self, z_px: float) -> float:
        """Distance at one height."""
        return self.slope * z_px + self.intercept_px


def straight_line(outline: Outline, side: float, from_px: float, to_px: float) -> Line | None:
    """Robust straight line through one wall between two heights."""
    rows = outline.between(from_px, to_px)
    if rows.sum() < 4:
        return None
    edge = (outline.right_px if side > 0 else outline.left_px)[rows]
    z = outline.z_px[rows]
    every = max(len(z) // 80, 1)
    slope, intercept = median_line(z[::every], edge[::every])
    scatter = 1.4826 * float(np.median(np.abs(edge - slope * z - intercept)))
    return Line(slope, intercept, scatter)


def chord_along(
    strip: Strip, side: float, line: Line, between_px: tuple[float, float]
) -> ChordEdge:
    """Chord edge of all rows between two heights, averaged along a straight wall line."""
    z = strip.z_px[strip.rows(*between_px)]
    middle = line.at(float(z.mean()))
    reach = float(np.clip(0.55 * middle, 5.0, PROFILE_PX))
    depth = np.arange(-reach, reach + 1e-9, strip.step_px)
    t = side * (line.slope * z[:, None] + line.intercept_px - depth[None, :])
    grey = strip.at(z[:, None], t).mean(axis=0)
    return fit_chord_edge(depth, grey)
