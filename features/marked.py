"""What the film shows and what was marked, joined: each counts by how sure it is.

An edge that lies farther from its mark than both may be off is likely another one; the mark then
counts instead of it, the more the farther they lie apart.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from features.quantity import Measured, from_parts, parts_of

ASTRAY_PX = 12.0  # standard deviation of where another edge is taken for the one marked (simulated)


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
        Standard deviation that this doubt adds.
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
    same = (1 - stray) * _likely(apart, math.hypot(found.std, marked.std, besides_px))
    other = stray * _likely(apart, math.hypot(ASTRAY_PX, marked.std))
    doubt = other / max(same + other, 1e-300)
    near = marked.std**2 / (found.std**2 + marked.std**2)
    unsure = math.sqrt(doubt * (1 - doubt)) * near * abs(apart)
    return Meeting((1 - doubt) * near, doubt, unsure)


def joined(found: Measured, marked: Measured, meeting: Meeting) -> Measured:
    """The value between both, in px."""
    parts = {name: meeting.share * std for name, std in parts_of(found).items()}
    left = 1 - meeting.share
    other = math.hypot(parts.pop("other_edge", 0.0), meeting.unsure_px)
    value = meeting.share * found.value + left * marked.value
    return from_parts(value, "px", **parts, marks=left * marked.std, other_edge=other)


def _likely(apart: float, std: float) -> float:
    return math.exp(-0.5 * (apart / std) ** 2) / std
