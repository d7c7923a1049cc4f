"""How far apart implants point: tilts in each tooth's own frame, turned into one arch frame."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from features.quantity import Measured, NotMeasured, Quantity
from identify.case_file import Case, CaseImplant
from identify.rules import Rules

DRAWS = 20_000  # leaves 0.02 degrees of chance in mean and std
SEED = 0  # the same case gives the same plan


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
    """The largest angle between any two implants, and every pair's."""

    largest_deg: Quantity
    pairs: tuple[Pair, ...] = ()

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
    if case.divergence_measured_deg is not None:
        std_deg = case.divergence_measured_std_deg or rules.divergence_measured_std_deg
        return Divergence(Measured(case.divergence_measured_deg, std_deg, "deg"))
    reason = _why_not(case)
    if reason:
        return Divergence(NotMeasured(reason))
    pairs = _measure_pairs(case, rules)
    if not pairs:
        return Divergence(NotMeasured("no two of these implants stand in one jaw"))
    return Divergence(max((pair.angle_deg for pair in pairs), key=lambda angle: angle.value), pairs)


def _why_not(case: Case) -> str:
    if len(case.implants) < 2:
        return "one implant diverges from nothing" if case.implants else "no implant is listed"
    for implant in case.implants:
        if implant.tilt_mesiodistal_deg is None or implant.tilt_buccolingual_deg is None:
            return (
                f"a tilt of {implant.label} is missing; films alone do not give both: "
                "measure the angle on a model or a scan"
            )
        if implant.tooth is None:
            return f"the tooth of {implant.label} is not given, so its tilts have no direction"
    return ""


def _measure_pairs(case: Case, rules: Rules) -> tuple[Pair, ...]:
    rng = np.random.default_rng(SEED)
    implants = sorted(case.implants, key=lambda implant: implant.label)  # so order is no matter
    axes = [(implant, _draw_axes(implant, case, rules, rng)) for implant in implants]
    return tuple(
        Pair((one.label, other.label), _angle(axes_of_one, axes_of_other))
        for (one, axes_of_one), (other, axes_of_other) in combinations(axes, 2)
        if _is_upper(one) == _is_upper(other)
    )


def _angle(axes: NDArray[np.float64], others: NDArray[np.float64]) -> Measured:
    across = np.linalg.norm(np.cross(axes, others), axis=1)
    angles_deg = np.degrees(np.arctan2(across, np.sum(axes * others, axis=1)))
    return Measured(float(angles_deg.mean()), float(angles_deg.std()), "deg")


def _draw_axes(
    implant: CaseImplant, case: Case, rules: Rules, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Draw crownward axes (DRAWS, 3) in the arch frame: x to the patient's left, y forward."""
    std_deg = implant.tilt_std_deg or rules.tilt_std_deg
    to_mesial = np.tan(np.radians(_draw(rng, implant.tilt_mesiodistal_deg, std_deg)))
    to_buccal = np.tan(np.radians(_draw(rng, implant.tilt_buccolingual_deg, std_deg)))
    forward = np.radians(_draw(rng, *_frame(implant, case, rules)))
    side = 1 if _is_left(implant) else -1
    x = side * (to_buccal * np.sin(forward) - to_mesial * np.cos(forward))
    y = to_buccal * np.cos(forward) + to_mesial * np.sin(forward)
    return np.stack([x, y, np.ones(DRAWS)], axis=1)


def _draw(rng: np.random.Generator, mean: float | None, std: float) -> NDArray[np.float64]:
    assert mean is not None
    return rng.normal(mean, std, DRAWS)


def _frame(implant: CaseImplant, case: Case, rules: Rules) -> tuple[float, float]:
    """Look up how far the tooth's mesial direction is turned forward, and its std, in degrees."""
    assert implant.tooth is not None
    for name in (implant.label, implant.tooth):
        if name in case.tooth_frames_deg:
            return case.tooth_frames_deg[name], rules.frames.entered_std_deg
    return rules.frames.mesial_deg[implant.tooth[1]], rules.frames.std_deg


def _is_upper(implant: CaseImplant) -> bool:
    # ISO 3950: quadrants 1, 2 (5, 6 in the primary set) are upper; 2, 3 (6, 7) on the left
    return implant.tooth is not None and implant.tooth[0] in "1256"


def _is_left(implant: CaseImplant) -> bool:
    return implant.tooth is not None and implant.tooth[0] in "2367"
