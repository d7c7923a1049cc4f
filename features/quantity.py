"""A number with its uncertainty, or the reason why there is none."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured value.

    Attributes
    ----------
    value : float
        In `unit`.
    std_local : float
        Standard uncertainty (k = 1) from this measurement alone, in `unit`.
    unit : str
        ``"mm"``, ``"px"``, ``"deg"``, ``"mm/px"`` or ``""`` for a ratio.
    std_scale : float
        The part that comes from the scale, shared by every length on the film, in `unit`.
    parts : tuple of (name, std)
        Where the uncertainty comes from, in `unit`; the squares add up to that of `std`. Empty
        where nothing is told apart.
    """

    value: float
    std_local: float
    unit: str = ""
    std_scale: float = 0.0
    parts: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        for name in ("value", "std_local", "std_scale"):
            if not math.isfinite(getattr(self, name)):
                raise ValueError(
                    f"'{name}' must be a finite number (got {getattr(self, name)}); "
                    "use NotMeasured(reason) where there is no number"
                )
        if self.std_local < 0 or self.std_scale < 0:
            raise ValueError(f"an uncertainty cannot be negative (got {self})")

    def __bool__(self) -> Literal[True]:
        return True

    @property
    def std(self) -> float:
        """Combined standard uncertainty, in `unit`."""
        return math.hypot(self.std_local, self.std_scale)

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval, as shown to people (value ± 1.96 std)."""
        return self.value - 1.96 * self.std, self.value + 1.96 * self.std

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts: `std_local` only where the scale adds something."""
        out: dict[str, Any] = {"value": round(self.value, 5), "std": round(self.std, 5)}
        if self.std_scale:
            out["std_local"] = round(self.std_local, 5)
        return out


def from_parts(value: float, unit: str, **parts: float) -> Measured:
    """Build a measured value from what its uncertainty comes from (independent, in `unit`)."""
    told = tuple((name, float(std)) for name, std in parts.items() if std > 0)
    return Measured(float(value), math.hypot(*(std for _, std in told)), unit, parts=told)


def parts_of(*quantities: Measured, **weights: float) -> dict[str, float]:
    """Join the parts of independent values that are added up, name by name.

    `weights` multiply single names' parts; a value that tells no parts counts as "other".
    """
    squares: dict[str, float] = {}
    for quantity in quantities:
        for name, std in quantity.parts or (("other", quantity.std),):
            squares[name] = squares.get(name, 0.0) + (weights.get(name, 1.0) * std) ** 2
    return {name: math.sqrt(square) for name, square in squares.items()}


@dataclass(frozen=True, slots=True)
class NotMeasured:
    """Why there is no number: one sentence, fit to print. Falsy, so `if pitch:` narrows."""

    reason: str

    def __bool__(self) -> Literal[False]:
        return False

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {"not_measured": self.reason}


Quantity = Measured | NotMeasured
