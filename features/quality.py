"""What is wrong with a film where the implant lies, and what can still be trusted on it."""

from __future__ import annotations

import math

import numpy as np

from features.body import Body
from features.burnt_out import burnt_share
from features.smooth_wall import chord_along, straight_line

BURNT = 0.4  # of the body: more burnt out and its inside cannot be judged (a judgement)
FAINT = 0.12  # grey over the bone beside: less and texture passes for metal (a judgement)
BLURRED_PX = 3.5  # standard deviation at a wall: a receptor alone stays below 2 (from memory)
SLOWER = 1.3  # times: round metal rises so slowly by itself, moved films 1.7 times (simulated)
# of the length: where walls are looked at, and how far about; turns soften some of the edges there,
# so the sharper quarter counts (the softest of 60 simulated threads stays below 3 px)
HEIGHTS, REACH, SHARP = (0.06, 0.4, 0.7), 0.02, 25
BLURRED_SHARE = 0.025  # of the body width: at this blur a thread of a third of a mm is gone


def quality_notes(body: Body) -> tuple[str, ...]:
    """Sentences on burnt-out metal, low contrast and blur; empty where nothing is wrong."""
    found = (_burnt(body), _faint(body), _blurred(body))
    return tuple(said for said in found if said)


def _burnt(body: Body) -> str:
    share = burnt_share(body.strip, body.platform.value, body.tip_px, 0.4 * body.width_px)
    if share < BURNT:
        return ""
    return (
        f"{share:.0%} of the metal is burnt out: trust the outline, not what seems to be missing "
        "inside"
    )


def _faint(body: Body) -> str:
    if body.gap_map.contrast >= FAINT and not body.gap_map.faint:
        return ""
    return "the implant hardly stands out from the bone: bone may pass for walls, threads and holes"


def _blurred(body: Body) -> str:
    limit = max(BLURRED_PX, BLURRED_SHARE * body.width_px)
    if _slowest(body) < SLOWER * limit:
        return ""
    blurs = _blurs(body)
    blur = float(np.percentile(blurs, SHARP)) if blurs else 0.0
    if blur < limit:
        return ""
    return (
        f"edges are blurred over {2 * blur:.0f} px or more, by movement or a "
        "coarse scan: fine threads and small holes would not show"
    )


def _slowest(body: Body) -> float:
    """Blur of a sharp step that would rise as slowly as the walls do, px."""
    walls = np.concatenate([body.outline.strength_left, body.outline.strength_right])
    steep = max(float(np.percentile(walls, 100 - SHARP)), 1e-6)
    return body.gap_map.contrast / steep / math.sqrt(2 * math.pi)


def _blurs(body: Body) -> list[float]:
    """Blur of either wall at the heights looked at, where an edge could be fitted, px."""
    found, reach = [], max(REACH * body.length_px, 4.0)
    for side in (-1.0, 1.0):
        for share in HEIGHTS:
            rows = body.height(share) - reach, body.height(share) + reach
            line = straight_line(body.outline, side, *rows)
            edge = chord_along(body.strip, side, line, rows) if line else None
            if edge and edge.offset_px:
                found.append(edge.blur_px)
    return found
