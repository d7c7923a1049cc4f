"""Width of the core at mid length: at the roots of the thread, unless they cannot be seen."""

from __future__ import annotations

from features import widths
from features.body import Body
from features.fine_thread import runs_on_at
from features.hidden_roots import turns_behind
from features.quantity import Measured, NotMeasured, Quantity
from features.thread_depth import thread_depth
from features.thread_search import least_depth_px

HIDDEN = 0.05  # of the body's width: a deeper thread that could hide leaves its core open
LIKELY = 0.4  # chance of a thread from which its core may lie below the envelope
COVERING = "the turns cover each other's roots on a beam so far off square"
MIDDLE = 0.38, 0.62  # of the length: walls beside the height at which the core is taken
COVERED = 1.0  # turns behind a root: so much metal stands all along its ground (derived)


def core_width(body: Body, reach_px: float) -> Quantity:
    """Width at the thread's roots, or the envelope where there is no thread, px.

    Parameters
    ----------
    body : Body
    reach_px : float
        Half the height over which it is taken.
    """
    why = _covered(body, body.thread.pitch_px) if body.thread.pitch_px else _unclear(body)
    return NotMeasured(why) if why else widths.core_at(body.walls, body.height(0.5), reach_px)


def _covered(body: Body, pitch: Measured) -> str:
    """Why a thread's roots cannot be seen; empty where they can."""
    tilt, depth = body.helix.tilt_deg, thread_depth(body.walls)
    if not tilt or not depth:
        return ""
    radius = body.width_px / 2
    turns = turns_behind(depth.value, pitch_px=pitch.value, radius_px=radius, tilt_deg=tilt.value)
    return COVERING if turns > COVERED else ""


def _unclear(body: Body) -> str:
    """Why walls without a pitch may not be the core; empty where they are."""
    if (
        body.thread.probability >= widths.SEEN
    ):  # half of those that bumps told were off by twice their std
        return "turns are seen, but not how far apart, so neither how deep their roots lie"
    if body.thread.probability >= LIKELY:
        return "whether the walls have a thread is not clear, so neither is their core"
    if least_depth_px(body.outline) > HIDDEN * body.width_px:
        return "the walls are so uneven that a deep thread could hide, and its core"
    middle = MIDDLE[0] * body.length_px, MIDDLE[1] * body.length_px
    if runs_on_at(body.strip, body.outline, middle):
        return "turns too fine to show how deep their roots lie run down the body"
    return ""
