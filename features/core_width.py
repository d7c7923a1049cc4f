"""Width of the core at mid length: at the roots of the thread, unless they cannot be seen."""

from __future__ import annotations

from features import widths
from features.body import Body
from features.hidden_roots import turns_behind
from features.quantity import NotMeasured, Quantity
from features.thread_depth import thread_depth
from features.thread_search import least_depth_px

HIDDEN = 0.05  # of the body's width: a deeper thread that could hide leaves its core open
DOUBTFUL = (0.4, 0.9)  # chance of a thread about which a core may be the envelope or far below it
COVERED = 1.0  # turns behind a root: so much metal stands all along its ground (derived)


def core_width(body: Body, reach_px: float) -> Quantity:
    """Width at the thread's roots, or the envelope where there is no thread, px.

    Parameters
    ----------
    body : Body
    reach_px : float
        Half the height over which it is taken.
    """
    if body.thread.pitch_px:
        if _covered(body):
            return NotMeasured("the turns cover each other's roots on a beam so far off square")
        return widths.core_at(body.walls, body.height(0.5), reach_px)
    if DOUBTFUL[0] <= body.thread.probability < DOUBTFUL[1]:
        return NotMeasured("whether the walls have a thread is not clear, so neither is their core")
    if least_depth_px(body.outline) > HIDDEN * body.width_px:
        return NotMeasured("the walls are so uneven that a deep thread could hide, and its core")
    return widths.core_at(body.walls, body.height(0.5), reach_px)


def _covered(body: Body) -> bool:
    tilt, depth = body.helix.tilt_deg, thread_depth(body.walls)
    if not body.thread.pitch_px or not tilt or not depth:
        return False
    turns = turns_behind(
        depth.value,
        pitch_px=body.thread.pitch_px.value,
        radius_px=body.width_px / 2,
        tilt_deg=tilt.value,
    )
    return turns > COVERED
