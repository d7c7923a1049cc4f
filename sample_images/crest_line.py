"""The bone's crest on a film: level beside the teeth, meeting the implant where the truth says."""

from __future__ import annotations

import numpy as np

from sample_images.fixture import Fixture
from sample_images.no_implant import NoImplant
from sample_images.tooth import Tooth
from sample_images.view import View

Knot = tuple[float, float]
LEVEL_MM = 0.4  # at least so far out from the outline the bone is level
CLOSEST_MM = 0.05  # knots nearer than this would make the line jump


def draw_crests(fixture: Fixture | NoImplant, rng: np.random.Generator) -> tuple[float, float]:
    """Platform to bone on the left and right, mm.

    Bone stands near the first thread, or a little below the platform of a bone-level body.
    """
    collar = fixture.sizes.get("collar_height_mm", 0.6)
    base = max(0.3, collar - 0.2) + rng.uniform(0.0, 0.9)
    left, right = base + rng.uniform(-0.25, 0.25, 2)
    deepest = 0.6 * fixture.length_mm if isinstance(fixture, Fixture) else base + 0.25
    return min(float(left), deepest), min(float(right), deepest)


def crest_points_mm(
    fixture: Fixture | NoImplant, view: View, crests_mm: tuple[float, float]
) -> tuple[Knot, Knot]:
    """Where bone meets the implant's outline, film mm from the platform's middle: left, right."""
    left, right = (
        _film_mm(view, side * _half_mm(fixture, crest), crest)
        for side, crest in zip((-1, 1), crests_mm, strict=True)
    )
    return left, right


def rim_edges_mm(
    fixture: Fixture | NoImplant, view: View, crests_mm: tuple[float, float]
) -> tuple[float, float]:
    """How far out, in film mm, the bone stays level: the outline, or a rim that overhangs it."""
    left, right = (
        _film_mm(view, side * max(fixture.platform_radius_mm, _half_mm(fixture, crest)), crest)[0]
        for side, crest in zip((-1, 1), crests_mm, strict=True)
    )
    return left, right


def _half_mm(fixture: Fixture | NoImplant, z_mm: float) -> float:
    """Half width of the outline: of a post or filling, that of the root round it."""
    if isinstance(fixture, Fixture):
        return float(fixture.envelope(z_mm))
    return fixture.sizes["body_width_mm"] / 2


def _film_mm(view: View, t_mm: float, z_mm: float) -> Knot:
    x, y = view.to_film(t_mm, z_mm)
    return (x - view.platform_px[0]) * view.mm_per_px, (y - view.platform_px[1]) * view.mm_per_px


def draw_knots(
    contacts: tuple[Knot, Knot],
    rims: tuple[float, float],
    teeth: tuple[Tooth, ...],
    ends: tuple[float, float],
    rng: np.random.Generator,
) -> tuple[Knot, ...]:
    """Knots of the crest line, left to right, dead flat along the implant's outline.

    Parameters
    ----------
    contacts : two (x, y)
        The line passes exactly through these.
    rims : (left, right)
        Level as far out as this.
    ends : (left, right)
        Film edges, mm from the platform's middle.
    """
    (x1, y1), (x2, y2) = contacts
    left, right = teeth
    near = left.neck_y_mm + float(rng.uniform(1.4, 2.0))
    far = right.neck_y_mm + float(rng.uniform(1.4, 2.0))
    out1, out2 = min(rims[0], x1 - LEVEL_MM), max(rims[1], x2 + LEVEL_MM)
    left_x = min(left.x_mm + 0.36 * left.width_mm, out1 - 1.1)
    right_x = max(right.x_mm - 0.36 * right.width_mm, out2 + 2.4)
    knots = [
        (min(ends[0], left_x - 4) - 1.0, near + 0.2),
        (left_x, near),
        (min(left_x + 0.9, out1 - 0.7), near + 0.25),
        (out1 - 0.35, y1 - 0.12),
        (out1, y1 - 0.005),
        (x1, y1),
        (x2, y2),
        (out2, y2 - 0.005),
        (out2 + 0.35, y2 - 0.12),
        (out2 + 1.6, y2 * 0.45 + 0.55 * min(y2, far + 1.2) - 0.1),
        (right_x - 0.5, far + 0.2),
        (right_x, far),
        (max(ends[1], right_x + 4) + 1.0, far + 0.2),
    ]
    return _apart(knots)


def _apart(knots: list[Knot]) -> tuple[Knot, ...]:
    """Leave out knots that crowd the one before; the two contacts stand in the middle and stay."""
    kept = [knots[5], knots[6]]
    for knot in reversed(knots[:5]):
        if knot[0] < kept[0][0] - CLOSEST_MM:
            kept.insert(0, knot)
    for knot in knots[7:]:
        if knot[0] > kept[-1][0] + CLOSEST_MM:
            kept.append(knot)
    return tuple(kept)
