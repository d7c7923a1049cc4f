"""How sure a wall is beside bone: bone that is as uneven as the metal is bright can pass for one.

Such bone alone draws no wall astray, since walls of metal are sharp and run on. Only where its own
fall of grey is hardly steeper than those within the bone beside may a wall follow them.
"""

from __future__ import annotations

import numpy as np

from features.outline import SMOOTH_PX, Outline
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.smoothing import slope_across
from features.strip import Strip

# of the contrast: bone that swings by less is even; of the width, for each of what it swings more:
# how far a lost wall is astray; more than so much, and it is not told (simulated ceramic bodies)
EVEN_TEXTURE, ASTRAY, TOO_FAR = 0.2, 0.4, 0.08
# times the bone's: the fall of grey at a wall that is lost in it, and at one that is as sure as
# any (simulated)
LOST, CLEAR = 1.0, 4.0
STEEPEST = 95  # percentile of the falls within bone
BESIDE, BESIDE_PX, FAR = 0.04, 5.0, 0.35  # of the body's width: from where to where bone is seen
FEWEST = 50  # samples of bone
UNSURE = "the bone beside is as uneven as the implant is bright: no sure wall"


def less_sure_in_bone(width: Measured, texture: float, clear: float) -> Quantity:
    """A width, with what bone may draw its walls astray.

    Parameters
    ----------
    width : Measured in px
    texture : float
        How far the grey beside the body swings, as part of the body's contrast.
    clear : float
        From `clearness`.
    """
    lost = float(np.clip((CLEAR - clear) / (CLEAR - LOST), 0.0, 1.0))
    astray = ASTRAY * (texture - EVEN_TEXTURE) * lost
    if astray <= 0:
        return width
    if astray > TOO_FAR:
        return NotMeasured(UNSURE)
    return from_parts(width.value, width.unit, **parts_of(width), bone=astray * width.value)


def clearness(strip: Strip, outline: Outline, between_px: tuple[float, float]) -> float:
    """Fall of grey at the less clear wall, times the steepest in the bone beside it."""
    part, rows = strip.rows(*between_px), outline.between(*between_px)
    slope = np.abs(slope_across(strip.pixels[part], SMOOTH_PX / strip.step_px)) / strip.step_px
    width, z, found = outline.typical_width_px, strip.z_px[part], []
    for side, wall, strength in (
        (-1.0, outline.left_px, outline.strength_left),
        (1.0, outline.right_px, outline.strength_right),
    ):
        beyond = side * strip.t_px - np.interp(z, outline.z_px, wall)[:, None]
        beyond -= BESIDE * width + BESIDE_PX
        bone = slope[(beyond > 0) & (beyond < FAR * width) & strip.inside[part]]
        if len(bone) >= FEWEST:
            steepest = max(float(np.percentile(bone, STEEPEST)), 1e-9)
            found.append(float(np.median(strength[rows])) / steepest)
    return min(found, default=CLEAR)
