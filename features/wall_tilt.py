"""The beam's tilt by the look of the turns on both walls, where the comb across does not tell it.

On the wall along which the thread climbs least along the rays, its valleys are seen to their
ground; on the other, turns cover each other's. A wrong climb leaves much of a mean turn over, so
the tilt that leaves least is the likeliest. It serves the walls alone: the starts it rests on may
be wrong, and a climb that suits both walls is then still the better one.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from features.helix import USUAL_TILT_DEG, Helix
from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity
from features.shear import wall_shears
from features.strip import Strip
from features.threaded_wall import misfit_by_shear
from features.threads import Thread

FIRST_DEG, BESIDE_DEG = (-6.0, 0.0, 6.0), 3.0  # tilts tried, then those beside the likeliest
SAMPLES = 40  # independent ones in the mean turns of both walls (a judgement)


def tilt_by_walls(strip: Strip, outline: Outline, thread: Thread, helix: Helix) -> Quantity:
    """The tilt whose climb suits both walls' mean turns best; of rings, its size alone."""
    radius = outline.typical_width_px / 2
    walls = [misfit_by_shear(strip, outline, side, thread) for side in (-1.0, 1.0)]
    if not thread.pitch_px or not all(walls):
        return NotMeasured("no turn is seen whole on both walls")
    pitch, rings = thread.pitch_px.value, helix.likely_starts == 0

    def score(tilt: float) -> float:
        tilted = replace(helix, tilt_deg=Measured(tilt, BESIDE_DEG, "deg"))
        shears = wall_shears(tilted, radius_px=radius, pitch_px=pitch)
        left = sum(wall(shear) for wall, shear in zip(walls, shears, strict=True) if wall)
        return float(-0.5 * SAMPLES * np.log(left) - 0.5 * (tilt / USUAL_TILT_DEG) ** 2)

    scores = {tilt: score(tilt) for tilt in FIRST_DEG if tilt >= 0 or not rings}
    first = max(scores, key=lambda tilt: scores[tilt])
    scores |= {tilt: score(tilt) for tilt in (first - BESIDE_DEG, first + BESIDE_DEG)}
    return Measured(max(scores, key=lambda tilt: scores[tilt]), BESIDE_DEG, "deg")
