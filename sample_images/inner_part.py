"""What of a seated part lies inside the bore: its foot, its screw's shank and turns.

A part bears on its rim or cone, never on the bottom of its index, so a gap is left below its foot;
a screw's shank is thinner than the bore and only its lowest turns hold. Between them the bore stays
empty, and that is what a film shows below a seated part.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.bore import LEAD_IN_MM, Bore
from sample_images.solids import FACE_STEEPNESS, Field, Profile, Rays, only_between, revolved, union

FIT_MM = 0.015  # clearance of a part inside the bore: common practice, thousandths to hundredths
BELOW_FOOT_MM = (0.1, 0.4)  # gap between foot and bottom of the index: from memory
NO_FOOT_MM = 0.6  # an index or mouth shallower than this takes no foot, invented
TURNS = (4.0, 7.0)  # of a screw's thread that hold, from memory
CLEAR_MM = 0.4  # below a screw: one that bottomed would not clamp, from memory
MINOR = 1.22687  # pitches from a screw's major to its minor diameter d3, ISO 68-1
SUNK = (0.4, 0.8)  # of a cone's depth, to which the head of a low part fills it: invented


@dataclass(frozen=True, slots=True)
class InnerPart:
    """Heights below the platform, mm: the foot's end, where the screw's turns begin and end.

    `shank_mm` is the radius of the screw between foot and turns.
    """

    foot_mm: float
    turns_mm: float
    end_mm: float
    shank_mm: float

    def field(self, bore: Bore) -> Field:
        """Everything of it, with a hair of clearance."""
        void = bore.void()
        pieces = [_filled(void, 0.0, self.foot_mm), _filled(void, self.turns_mm, self.end_mm)]
        if self.turns_mm > self.foot_mm:
            shank = Profile((-0.001, self.turns_mm + 0.001), (self.shank_mm,) * 2)
            pieces.append(revolved(shank))
        return union(*pieces)


def draw_inner_part(bore: Bore, end_mm: float, rng: np.random.Generator, *, low: bool) -> InnerPart:
    """Draw what an abutment, or a low part that does not reach into the index, has in the bore.

    Parameters
    ----------
    end_mm : float
        How deep the screw, or the post of a part that has none, reaches.
    low : bool
        A cover screw or a healing part.
    """
    if bore.thread is None:
        return InnerPart(end_mm, end_mm, end_mm, 0.0)
    (own,) = rng.spawn(1)  # so that all other draws stay as they were
    gap, turns = float(own.uniform(*BELOW_FOOT_MM)), float(own.uniform(*TURNS))
    sunk = float(own.uniform(*SUNK))
    floor = bore.floor_mm
    foot = _low_foot_mm(bore, sunk) if low else floor - gap
    if floor < NO_FOOT_MM:
        foot = 0.0
    pitch = bore.thread.pitch_mm
    holds = min(floor + TURNS[0] * pitch, bore.depth_mm - CLEAR_MM)
    end = max(end_mm, holds)  # the screw finds its thread
    begins = max(end - turns * pitch, floor)
    return InnerPart(foot, begins, end, (bore.width_mm - MINOR * pitch) / 2)


def _low_foot_mm(bore: Bore, sunk: float) -> float:
    """How far the head of a low part fills a cone; it stays out of an index."""
    knots = [z for z in bore.wall.z_mm if z > 0]
    cone = knots[0] if bore.cone_deg > 0 and knots else 0.0
    return sunk * cone if cone >= LEAD_IN_MM else 0.0


def _filled(void: Field, top_mm: float, end_mm: float) -> Field:
    def field(rays: Rays) -> Array:
        faces = np.minimum(np.float32(end_mm) - rays.z, rays.z - np.float32(top_mm - 0.001))
        return np.asarray(
            np.minimum(void(rays) - np.float32(FIT_MM), faces * np.float32(FACE_STEEPNESS))
        )

    return only_between(field, top_mm - 0.01, end_mm)
