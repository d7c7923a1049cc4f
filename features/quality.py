"""What is wrong with a film where the implant lies, and what can still be trusted on it."""

from __future__ import annotations

import numpy as np

from features.body import Body
from features.burnt_out import burnt_share
from features.smooth_wall import chord_along, straight_line

BURNT = 0.4  # of the body: more burnt out and its inside cannot be judged (a judgement)
FAINT = 0.12  # grey over the bone beside: less and texture passes for metal (a judgement)
BLURRED_PX = 3.5  # standard deviation at a wall: a receptor alone stays below 2 (from memory)
HELD = 0.85  # a mean turn's blur is drawn toward the usual one: less of it is as much (simulated)
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
    blurs = [blur for side in (-1.0, 1.0) if (blur := _wall_blur(body, side)) > 0]
    limit = max(BLURRED_PX, BLURRED_SHARE * body.width_px)
    limit *= HELD if body.walls.left.parts and body.walls.right.parts else 1.0
    if not blurs or float(np.median(blurs)) < limit:
        return ""
    return (
        f"edges are blurred over {2 * float(np.median(blurs)):.0f} px or more, by movement or a "
        "coarse scan: fine threads and small holes would not show"
    )


def _wall_blur(body: Body, side: float) -> float:
    """Blur at the wall; where a thread runs, that of its mean turn."""
    wall = body.walls.left if side < 0 else body.walls.right
    if wall.parts:
        return float(np.median([part.cell.blur_px for part in wall.parts]))
    middle, reach = body.height(0.5), max(0.06 * body.length_px, 3.0)
    line = straight_line(body.outline, side, middle - reach, middle + reach)
    if line is None:
        return 0.0
    edge = chord_along(body.strip, side, line, (middle - reach, middle + reach))
    return edge.blur_px if edge.offset_px else 0.0
