"""What the outline itself shows of a turn, to hold a fitted one to.

Turns are fitted as one mean turn laid over each of them in turn. Where they change on their way,
or bone passes behind them, single crests and roots lie elsewhere than the mean turn says; how far
out, or in, the outline comes about a height does not know of the others.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from features.outline import Outline

AROUND = 0.75  # pitches to either side: one crest and one root, whatever the phase
SLOPE = 1.5  # pitches to either side: what they gain in a whole turn is the body's own taper
FEWEST = 5  # rows
# How a fitted turn stands to that (on some 1700 simulated walls each): how far beyond it where both
# are right, px; what part of the rest is the fit's own error, and up to how much
CREST_BEYOND_PX, ROOT_BEYOND_PX = 0.8, 1.0
CREST_SHARE, ROOT_SHARE = 0.35, 0.4
CREST_MOST_PX, ROOT_MOST_PX = 0.75, 1.5
# … how far apart is usual, and what of more is doubt: nearer to the axis than the wall is ever
# seen, or farther from it, where crests may be cut
USUAL_PX, NEARER, FARTHER = 3.0, 0.3, 0.1
# depth over pitch, and px: in a groove so narrow, and between turns so fine, the film's blur hides
# where its ends lie
STEEP, FINE_PX = 0.8, 20.0


@dataclass(frozen=True, slots=True)
class Fitted:
    """A crest or root as fitted: its height, its distance from the axis, and its thread, px."""

    z_px: float
    distance_px: float
    pitch_px: float
    depth_px: float
    root: bool


def held_to_outline(outline: Outline, side: float, turn: Fitted) -> tuple[float, float]:
    """Draw a fitted crest or root toward what the outline shows about its height.

    Parameters
    ----------
    outline, side
        The walls, and which of them (-1 left, 1 right).
    turn : Fitted

    Returns
    -------
    distance_px, std_px : float
        From the axis, and the doubt that is left where the two do not agree.
    """
    seen = farthest_px(outline, side, turn.z_px, turn.pitch_px, roots=turn.root)
    if seen is None:
        return turn.distance_px, 0.0
    beyond, share, most = (
        (ROOT_BEYOND_PX, ROOT_SHARE, ROOT_MOST_PX)
        if turn.root
        else (CREST_BEYOND_PX, CREST_SHARE, CREST_MOST_PX)
    )
    off = turn.distance_px - seen - beyond
    doubt = (NEARER if off < 0 else FARTHER) * max(abs(off) - USUAL_PX, 0.0)
    if turn.depth_px > STEEP * turn.pitch_px or turn.pitch_px < FINE_PX:
        return turn.distance_px, doubt
    return turn.distance_px - float(np.clip(share * off, -most, most)), doubt


def farthest_px(
    outline: Outline, side: float, z_px: float, pitch_px: float, *, roots: bool
) -> float | None:
    """How far out a wall comes about a height, or in at its roots, px; None where nothing is seen.

    The taper is taken out, so that a crest above or below counts as if it stood at the height.
    """
    edge = outline.right_px if side > 0 else outline.left_px
    wide, near = (
        outline.between(z_px - turns * pitch_px, z_px + turns * pitch_px)
        for turns in (SLOPE, AROUND)
    )
    if near.sum() < FEWEST:
        return None
    from_z = outline.z_px[wide & (outline.z_px + pitch_px <= outline.z_px[-1])]
    here, a_turn_on = (np.interp(z, outline.z_px, edge) for z in (from_z, from_z + pitch_px))
    slope = float(np.median(a_turn_on - here)) / pitch_px if len(from_z) else 0.0
    level = edge[near] - slope * (outline.z_px[near] - z_px)
    return float(level.min() if roots else level.max())
