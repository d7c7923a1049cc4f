"""A wall whose turns cover each other's roots, told by the other wall.

A thread runs round the body with one depth. Along the wall where it climbs most along the rays,
metal of the next turns stands behind its valleys and hides their ground; nothing makes them look
deeper than they are, but a turn that was fitted badly.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from features.quantity import Measured
from features.threaded_wall import Wall

WORSE = 1.5  # times the other wall's misfit: the deeper turn was rather fitted badly (simulated)
SHALLOWER = 0.8  # of the other wall's depth: uneven threads stay above (simulated)


def with_hidden_roots(left: Wall, right: Wall) -> tuple[Wall, Wall]:
    """Both walls; the one that is much the shallower holds its depth by the other."""
    on_left, on_right = seen_depth(left), seen_depth(right)
    if not on_left or not on_right:
        return left, right
    shallow, deep = sorted((on_left, on_right), key=lambda depth: depth.value)
    sure = deep.value - shallow.value > float(np.hypot(shallow.std, deep.std))
    if not sure or shallow.value > SHALLOWER * deep.value:
        return left, right
    hiding, showing = (left, right) if shallow is on_left else (right, left)
    if _misfit(showing) > WORSE * _misfit(hiding):
        return left, right
    hiding = replace(hiding, hidden=deep)
    return (hiding, right) if shallow is on_left else (left, hiding)


def turns_behind(depth_px: float, *, pitch_px: float, radius_px: float, tilt_deg: float) -> float:
    """How many turns a ray that grazes the roots climbs by between the crests before and behind.

    It runs 2·√(2Rd) through the thread and, the beam τ off square, climbs by tan(τ) of that
    (derived). From one turn on, metal stands in its way all along the ground of a root.
    """
    chord_px = 2 * float(np.sqrt(2 * radius_px * max(depth_px, 0.0)))
    return chord_px * abs(float(np.tan(np.radians(tilt_deg)))) / pitch_px


def _misfit(wall: Wall) -> float:
    """What the fits of a wall's mean turns left over."""
    return float(np.mean([part.cell.misfit for part in wall.whole_parts]))


def seen_depth(wall: Wall) -> Measured | None:
    """Crest over root of a wall's mean turns, px; None where none was fitted."""
    if not wall.depths:
        return None
    value, std = np.mean([(depth.value, depth.std) for depth in wall.depths], axis=0)
    return Measured(float(value), float(std), "px")
