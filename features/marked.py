"""What the film shows and what was marked, joined: each counts by how sure it is.

An edge that lies farther from its mark than both may be off is likely another one, unless it is the
one edge nearby: then the mark has slipped.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from features.quantity import Measured, from_parts, parts_of

ASTRAY_PX = 12.0  # standard deviation of where another edge is taken for the one marked (simulated)
# One mark in twenty slips: it is then this much off, whatever is stated of it (common practice).
SLIPS, SLIP_PX = 0.05, 5.0
NEVER = 1e-300  # keeps what cannot be from dividing by nothing


@dataclass(frozen=True, slots=True)
class Meeting:
    """How much a found place counts beside a marked one.

    Attributes
    ----------
    share : float
        Of the found place; the rest is the mark's.
    doubt : float
        Probability that what was found is something else.
    unsure_px : float
        Standard deviation that not knowing which of the two is right adds.
    """

    share: float
    doubt: float
    unsure_px: float


def meet(found: Measured, marked: Measured, *, stray: float, besides_px: float = 0.0) -> Meeting:
    """Weigh a found place against a marked one, in px.

    Parameters
    ----------
    found, marked : Measured
        Of the same thing, independently.
    stray : float
        How often something else is found in its place.
    besides_px : float
        Standard deviation of what may lie between the two, as an end's overhang does.
    """
    apart = found.value - marked.value
    near = marked.std**2 / (found.std**2 + marked.std**2)
    # both right, a mark that slipped, another edge: how likely each is, and what the found counts
    chances = np.array(
        [
            (1 - stray) * (1 - SLIPS) * _likely(apart, found.std, marked.std, besides_px),
            (1 - stray) * SLIPS * _likely(apart, found.std, max(SLIP_PX, marked.std), besides_px),
            stray * _likely(apart, ASTRAY_PX, marked.std),
        ]
    )
    chances /= max(float(chances.sum()), NEVER)
    shares = np.array([near, 1.0, 0.0])
    share = float(chances @ shares)
    spread = float(np.sqrt(chances @ (shares - share) ** 2))
    return Meeting(share, float(chances[2]), spread * abs(apart))


def joined(found: Measured, marked: Measured, meeting: Meeting) -> Measured:
    """The value between both, in px."""
    parts = {name: meeting.share * std for name, std in parts_of(found).items()}
    left = 1 - meeting.share
    other = math.hypot(parts.pop("other_edge", 0.0), meeting.unsure_px)
    value = meeting.share * found.value + left * marked.value
    return from_parts(value, "px", **parts, marks=left * marked.std, other_edge=other)


def _likely(apart: float, *stds: float) -> float:
    std = math.hypot(*stds)
    return math.exp(-0.5 * (apart / std) ** 2) / std
