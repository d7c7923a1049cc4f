"""What was looked for: findings, forms and vents."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from features.quantity import Quantity

State = Literal["present", "absent", "not assessable"]
Shape = Literal["round", "oblong", "slot", "band"]  # band: seen from the side
MOST_SURE = 0.95


@dataclass(frozen=True, slots=True)
class Finding:
    """Present, absent or not assessable, with a probability and (if not assessable) a reason.

    `probability` is that of `state` being right; 1 for "not assessable".
    """

    state: State
    probability: float
    reason: str = ""

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return _to_json(self)


def finding_by(chance: float) -> Finding:
    """Present or absent, by the chance that it is there; never quite certain of either."""
    sure = min(max(chance, 1 - chance), MOST_SURE)
    return Finding("present" if chance > 0.5 else "absent", sure)


@dataclass(frozen=True, slots=True)
class Form:
    """Which of several forms (``apex_form``: flat, dome, pointed, open), or "not assessable"."""

    state: str
    probability: float
    reason: str = ""

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return _to_json(self)


@dataclass(frozen=True, slots=True)
class Vent:
    """One hole seen through the body. Lengths in px from `read_implant`, in mm from `read_film`."""

    shape: Shape
    width: Quantity
    height: Quantity
    from_apex: Quantity
    contrast_to_noise: float
    probability: float


def _to_json(seen: Finding | Form) -> dict[str, Any]:
    out: dict[str, Any] = {"state": seen.state, "probability": round(seen.probability, 3)}
    return out | ({"reason": seen.reason} if seen.reason else {})
