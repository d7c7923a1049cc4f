"""Tilts in each tooth's own frame turned into axes in one frame of the arch, with their spread.

x to the patient's left, y forward, z from the implants toward the bite (either jaw).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from identify.case_file import Case, CaseImplant
from identify.film_tilts import combine_tilts, is_left, known_on_films
from identify.rules import Rules

DRAWS = 20_000  # leaves 0.02 degrees of chance in mean and std
SEED = 0  # the same case gives the same plan

Axes = Mapping[str, NDArray[np.float64]]


def why_no_axes(case: Case) -> str:
    """Say what is missing before axes can be drawn; empty where nothing is."""
    seen = known_on_films(case)
    for implant in case.implants:
        on_film = implant.label in seen or implant.tooth in seen
        if implant.tilt_buccolingual_deg is None or (
            implant.tilt_mesiodistal_deg is None and not on_film
        ):
            return (
                f"a tilt of {implant.label} is missing; films alone do not give both: "
                "measure the angle on a model or a scan"
            )
        if implant.tooth is None:
            return f"the tooth of {implant.label} is not given, so its tilts have no direction"
    return "" if case.implants else "no implant is listed"


def draw_axes(case: Case, rules: Rules) -> Axes:
    """Draw crownward unit axes (DRAWS, 3) of every implant; the first draw is the likeliest.

    Call it only where `why_no_axes` finds nothing missing.
    """
    rng = np.random.default_rng(SEED)
    implants = tuple(sorted(case.implants, key=lambda i: i.label))  # so that order is no matter
    mesial = combine_tilts(case, implants, rules)
    drawn = mesial.draw(rng, DRAWS)
    means = dict(zip(mesial.labels, mesial.mean_deg, strict=True))
    axes = {}
    for implant in implants:
        drawn[implant.label][0] = means[implant.label]
        axes[implant.label] = _axes(implant, drawn[implant.label], case, rules, rng)
    return axes


def _axes(
    implant: CaseImplant,
    mesial_deg: NDArray[np.float64],
    case: Case,
    rules: Rules,
    rng: np.random.Generator,
) -> NDArray[np.float64]:
    std_deg = implant.tilt_std_deg or rules.tilt_std_deg
    to_mesial = np.tan(np.radians(mesial_deg))
    to_buccal = np.tan(np.radians(_draw(rng, implant.tilt_buccolingual_deg, std_deg)))
    forward = np.radians(_draw(rng, *frame_deg(implant, case, rules)))
    side = 1 if is_left(implant) else -1
    x = side * (to_buccal * np.sin(forward) - to_mesial * np.cos(forward))
    y = to_buccal * np.cos(forward) + to_mesial * np.sin(forward)
    axes = np.stack([x, y, np.ones(DRAWS)], axis=1)
    return np.asarray(axes / np.linalg.norm(axes, axis=1, keepdims=True))


def _draw(rng: np.random.Generator, mean: float | None, std: float) -> NDArray[np.float64]:
    assert mean is not None
    drawn = rng.normal(mean, std, DRAWS)
    drawn[0] = mean
    return drawn


def frame_deg(implant: CaseImplant, case: Case, rules: Rules) -> tuple[float, float]:
    """Look up how far the tooth's mesial direction is turned forward, and its std, in degrees."""
    assert implant.tooth is not None
    for name in (implant.label, implant.tooth):
        if name in case.tooth_frames_deg:
            return case.tooth_frames_deg[name], rules.frames.entered_std_deg
    return rules.frames.mesial_deg[implant.tooth[1]], rules.frames.std_deg


def is_upper(implant: CaseImplant) -> bool:
    """Whether it stands in the upper jaw (ISO 3950: quadrants 1, 2; 5, 6 primary)."""
    return implant.tooth is not None and implant.tooth[0] in "1256"
