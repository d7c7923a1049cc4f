"""How far apart implants point: the angle in space between their axes, with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from features.quantity import Measured, NotMeasured, Quantity
from identify.arch_frame import Axes, draw_axes, is_upper, why_no_axes
from identify.case_file import Case
from identify.rules import Rules


@dataclass(frozen=True, slots=True)
class Pair:
    """The angle between two implants' axes."""

    between: tuple[str, str]
    angle_deg: Measured

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {"between": list(self.between), **self.angle_deg.to_json()}


@dataclass(frozen=True, slots=True)
class Divergence:
    """The largest angle between any two implants, and every pair's.

    `axes`: what they were taken from, empty where an angle was measured or none can be.
    """

    largest_deg: Quantity
    pairs: tuple[Pair, ...] = ()
    axes: Axes | None = None

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts: `pairs` from three implants on."""
        pairs = [pair.to_json() for pair in self.pairs] if len(self.pairs) > 1 else []
        return self.largest_deg.to_json() | ({"pairs": pairs} if pairs else {})


def find_divergence(case: Case, rules: Rules) -> Divergence:
    """Find how far apart the implants of a case point, as 3-D angles in degrees.

    A value measured on a model or a scan wins. Otherwise both tilts of every implant are needed,
    and its tooth, since a tilt is given in its tooth's own mesio-distal / bucco-lingual frame. The
    value is the mean over what tilts and frames may be, given their standard uncertainties.
    """
    measured_deg = case.divergence_measured_deg
    if measured_deg is not None and len(case.implants) != 1:
        std_deg = case.divergence_measured_std_deg or rules.divergence_measured_std_deg
        return Divergence(Measured(measured_deg, std_deg, "deg"))
    reason = why_no_axes(case)
    if len(case.implants) == 1:
        reason = "one implant diverges from nothing"
    if reason:
        return Divergence(NotMeasured(reason))
    axes = draw_axes(case, rules)
    pairs = _pairs(case, axes)
    if not pairs:
        return Divergence(NotMeasured("no two of these implants stand in one jaw"))
    largest = max((pair.angle_deg for pair in pairs), key=lambda angle: angle.value)
    return Divergence(largest, pairs, axes)


def _pairs(case: Case, axes: Axes) -> tuple[Pair, ...]:
    upper = {implant.label: is_upper(implant) for implant in case.implants}
    return tuple(
        Pair((one, other), _measured(angles_deg(axes[one], axes[other])))
        for one, other in combinations(axes, 2)
        if upper[one] == upper[other]
    )


def _measured(drawn_deg: NDArray[np.float64]) -> Measured:
    return Measured(float(drawn_deg.mean()), float(drawn_deg.std()), "deg")


def angles_deg(axes: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.float64]:
    """Angles between directions (…, 3), in degrees."""
    across = np.linalg.norm(np.cross(axes, others), axis=-1)
    return np.asarray(np.degrees(np.arctan2(across, np.sum(axes * others, axis=-1))))
