"""Millimetres per pixel, with its uncertainty and where it came from."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from features.ball import ball_diameter
from features.marks import (
    CLICK_STD_PX,
    BallScale,
    DicomScale,
    ImplantScale,
    LineScale,
    Marks,
    NoScale,
    PixelScale,
)
from features.quantity import Measured, NotMeasured, Quantity, from_parts
from features.radiograph import Radiograph, Spacing

REL_STD_PER_MM_DEPTH = 0.003  # magnification changes 1/(300…400 mm) per mm of depth: derived
MAGNIFICATION, MAGNIFICATION_STD = 1.03, 0.013  # object 3-15 mm off the sensor: derived
CALIBRATED_REL_STD = {"FIDUCIAL": 0.01, "GEOMETRY": 0.02}  # no published figure: from memory


@dataclass(frozen=True, slots=True)
class Scale:
    """The scale of one film.

    Attributes
    ----------
    mm_per_px : Measured in mm/px, or NotMeasured
    kind : str
        ``none``, ``ball``, ``line``, ``implant_length``, ``implant_diameter``, ``pixel`` or
        ``dicom``.
    sentence : str
        How it was had, for people.
    sets : (label, measure key) or None
        The measure of the implant that set the scale, and so weighs nothing.
    """

    mm_per_px: Quantity
    kind: str
    sentence: str
    sets: tuple[str, str] | None = None

    @property
    def rel_std(self) -> float | None:
        """Relative standard uncertainty, or None without a scale."""
        return self.mm_per_px.std / self.mm_per_px.value if self.mm_per_px else None

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {"mm_per_px": self.mm_per_px.to_json(), "kind": self.kind, "sentence": self.sentence}


LengthOf = Callable[[str, str], Quantity]


def calibrate(film: Radiograph, marks: Marks, length_px_of: LengthOf) -> Scale:
    """Find the scale the marks ask for.

    Parameters
    ----------
    film : Radiograph
    marks : Marks
    length_px_of : callable
        (label, measure key) → that length of a marked implant in px; called only where an
        implant sets the scale.
    """
    mark = marks.scale
    match mark:
        case NoScale():
            reason = "no scale: nothing of known size was marked on this film"
            return Scale(NotMeasured(reason), "none", "Ratios and angles only.")
        case BallScale():
            return _from_ball(film, mark)
        case LineScale():
            return _from_line(mark)
        case ImplantScale():
            return _from_implant(mark, length_px_of)
        case PixelScale():
            return _from_pixel(mark)
        case DicomScale():
            return _from_dicom(film.spacing)


def _divide(
    size_mm: float, std_mm: float, length_px: Measured, *, depth_rel_std: float = 0.0
) -> Measured:
    value = size_mm / length_px.value
    return from_parts(
        value,
        "mm/px",
        known_size=value * std_mm / size_mm,
        scale_edge=value * length_px.std / length_px.value,
        scale_depth=value * depth_rel_std,
    )


def _from_ball(film: Radiograph, mark: BallScale) -> Scale:
    diameter, _ = ball_diameter(film.pixels, mark.ends_px)
    if not diameter:
        return Scale(diameter, "ball", "The ball could not be measured.")
    off_by = abs(math.dist(*mark.ends_px) - diameter.value)
    if off_by > max(16.0, 0.2 * diameter.value):
        reason = (
            f"the circle found ({diameter.value:.0f} px) does not agree with where the ball was "
            "marked; mark its two sides again"
        )
        return Scale(NotMeasured(reason), "ball", "The ball could not be measured.")
    depth = REL_STD_PER_MM_DEPTH * mark.depth_std_mm
    sentence = (
        f"A {mark.size_mm:g} mm ball, its edge fitted; ± {mark.depth_std_mm:g} mm allowed for its "
        "lying nearer to or farther from the sensor than the implant."
    )
    return Scale(
        _divide(mark.size_mm, mark.std_mm, diameter, depth_rel_std=depth), "ball", sentence
    )


def _from_line(mark: LineScale) -> Scale:
    length = Measured(math.dist(*mark.ends_px), CLICK_STD_PX * math.sqrt(2), "px")
    depth = REL_STD_PER_MM_DEPTH * mark.depth_std_mm
    sentence = f"A length of {mark.size_mm:g} ± {mark.std_mm:g} mm marked on the film."
    return Scale(_divide(mark.size_mm, mark.std_mm, length, depth_rel_std=depth), "line", sentence)


def _from_implant(mark: ImplantScale, length_px_of: LengthOf) -> Scale:
    key = "length" if mark.kind == "implant_length" else "coronal_width"
    measured = length_px_of(mark.label, key)
    word = "length" if key == "length" else "diameter"
    if not measured:
        reason = f"the {word} of implant {mark.label} sets the scale but was not measured: "
        return Scale(NotMeasured(reason + measured.reason), mark.kind, "Ratios and angles only.")
    sentence = (
        f"The {word} of implant {mark.label}, taken as {mark.size_mm:g} ± {mark.std_mm:g} mm; "
        "it therefore says nothing about which family this is."
    )
    return Scale(
        _divide(mark.size_mm, mark.std_mm, measured),
        mark.kind,
        sentence,
        (mark.label, f"{key}_mm"),
    )


def _from_pixel(mark: PixelScale) -> Scale:
    rel = mark.std_mm_per_px / mark.mm_per_px
    if mark.magnification is None:
        value, sentence = mark.mm_per_px, "A pixel size typed in, taken as that of the implant."
    else:
        value = mark.mm_per_px / mark.magnification
        rel = math.hypot(rel, mark.std_magnification / mark.magnification)
        sentence = f"A detector pixel size typed in, divided by {mark.magnification:g}."
    return Scale(Measured(value, value * rel, "mm/px"), "pixel", sentence)


def _from_dicom(spacing: Spacing | None) -> Scale:
    if spacing is None:
        reason = "this file carries no usable pixel spacing; mark something of known size instead"
        return Scale(NotMeasured(reason), "dicom", "The file carries no spacing.")
    if spacing.plane == "patient":
        rel = CALIBRATED_REL_STD.get(spacing.calibration or "", 0.02)
        return Scale(
            Measured(spacing.mm_per_px, spacing.mm_per_px * rel, "mm/px"), "dicom", spacing.sentence
        )
    factor = spacing.magnification or MAGNIFICATION
    rel = 0.01 if spacing.magnification else MAGNIFICATION_STD
    value = spacing.mm_per_px / factor
    sentence = f"{spacing.sentence} Divided by a magnification of {factor:.3g}."
    return Scale(
        Measured(value, float(value * np.hypot(rel, 0.002)), "mm/px"), "dicom", sentence.strip()
    )
