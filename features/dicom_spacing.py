"""What the pixel spacing in a DICOM file means: in the patient, at the detector, or unknown.

Sections cited are those of DICOM PS3.3 2024d, https://dicom.nema.org/medical/dicom/current
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from features.radiograph import Plane, Spacing

if TYPE_CHECKING:
    from pydicom import Dataset

INTRAORAL = "1.2.840.10008.5.1.4.1.1.1.3"  # PS3.4 annex B.5; ".1" added is "for processing"
# A periapical receptor is some 22 × 35 to 31 × 41 mm; from memory. The bounds only catch blunders.
SIDE_MM = {True: (15.0, 60.0), False: (15.0, 600.0)}  # intraoral, or panoramic and larger
SAME = 0.01  # relative; writers round the same spacing to different digits
NOT_SQUARE = 5e-4  # 1 px over 2000 px: less cannot be seen
MOST_MAGNIFIED = 2.0  # beyond, the object would lie half way to the tube


class Pair(NamedTuple):
    """Spacing of rows (down), then of columns (across), in mm: section 10.7.1.3."""

    down: float
    across: float

    @property
    def is_square(self) -> bool:
        """Whether both are one, as far as a film can show."""
        return math.isclose(self.down, self.across, rel_tol=NOT_SQUARE)


@dataclass(frozen=True, slots=True)
class FoundSpacing:
    """The spacing for people and for the scale, and the shape of one pixel.

    `aspect` is height ÷ width of one pixel as stored; `spacing` holds for square pixels as wide
    as the shorter side.
    """

    spacing: Spacing | None = None
    aspect: float = 1.0
    notes: tuple[str, ...] = ()


class _Claim(NamedTuple):
    pair: Pair
    plane: Plane
    calibration: str | None = None
    note: str = ""


def find_spacing(dataset: Dataset) -> FoundSpacing:
    """Read every spacing in a DICOM header and say which one holds where."""
    notes = _unusable(dataset)
    claim = _claim(dataset)
    if claim is None:
        return _shape_only(dataset, notes)
    doubt = _doubt(dataset, claim.pair)
    if doubt:
        return FoundSpacing(notes=(*notes, doubt))
    if claim.note:
        notes += (claim.note,)
    magnification, note = _magnification(dataset)
    if note:
        notes += (note,)
    aspect = 1.0 if claim.pair.is_square else claim.pair.down / claim.pair.across
    return FoundSpacing(_spacing(claim, magnification), aspect, notes)


def _claim(dataset: Dataset) -> _Claim | None:
    pixel = _pair(dataset, "PixelSpacing")
    calibration = str(dataset.get("PixelSpacingCalibrationType") or "")
    detector = _detector(dataset)
    if pixel and calibration in ("GEOMETRY", "FIDUCIAL"):  # section 10.7.1.2
        return _Claim(pixel, "patient", calibration, _suspicion(pixel, detector))
    if detector is None:
        # 10.7.1.1: alone and without a type, "it cannot be determined" what was done
        return _Claim(pixel, "unknown") if pixel else None
    return detector if pixel is None else _between(pixel, detector)


def _detector(dataset: Dataset) -> _Claim | None:
    imager = _pair(dataset, "ImagerPixelSpacing")
    if imager:
        return _Claim(imager, "imager")
    scanned = _pair(dataset, "NominalScannedPixelSpacing")
    return _Claim(scanned, "scanned") if scanned else None


def _between(pixel: Pair, detector: _Claim) -> _Claim:
    # 10.7.1.1: the same values are uncalibrated; different ones have been corrected
    magnified = detector.pair.down / pixel.down
    if math.isclose(magnified, 1, rel_tol=SAME):
        return detector
    if 1 < magnified <= MOST_MAGNIFIED:
        return _Claim(pixel, "patient")
    return detector._replace(
        note="The file's Pixel Spacing contradicts that of its detector and was not used."
    )


def _suspicion(pixel: Pair, detector: _Claim | None) -> str:
    if detector and math.isclose(pixel.down, detector.pair.down, rel_tol=1e-4):
        return (
            "The file calls its Pixel Spacing calibrated, yet it is that of the detector to the "
            "last digit: hold it against something of known size."
        )
    return ""


def _pair(dataset: Dataset, keyword: str) -> Pair | None:
    numbers = _numbers(dataset, keyword)
    if len(numbers) != 2 or not all(math.isfinite(n) and n > 0 for n in numbers):
        return None
    return Pair(*numbers)


def _numbers(dataset: Dataset, keyword: str) -> tuple[float, ...]:
    try:
        value = dataset.get(keyword)
        if value is None or value == "":
            return ()
        many = value if not isinstance(value, str) and hasattr(value, "__iter__") else [value]
        return tuple(float(each) for each in many)
    except (TypeError, ValueError, OverflowError):
        return (math.nan,)


def _unusable(dataset: Dataset) -> tuple[str, ...]:
    return tuple(
        f"The file's {words} is zero or no number and was not used."
        for keyword, words in (
            ("PixelSpacing", "Pixel Spacing"),
            ("ImagerPixelSpacing", "Imager Pixel Spacing"),
            ("NominalScannedPixelSpacing", "Nominal Scanned Pixel Spacing"),
        )
        if _numbers(dataset, keyword) and _pair(dataset, keyword) is None
    )


def _doubt(dataset: Dataset, pair: Pair) -> str:
    tall_mm, wide_mm = dataset.Rows * pair.down, dataset.Columns * pair.across
    least_mm, most_mm = SIDE_MM[_is_intraoral(dataset)]
    if least_mm <= min(tall_mm, wide_mm) and max(tall_mm, wide_mm) <= most_mm:
        return ""
    kind = "a periapical film" if _is_intraoral(dataset) else "a film of this kind"
    return (
        f"The spacing in the file would make the film {wide_mm:.3g} × {tall_mm:.3g} mm, which "
        f"{kind} is not; it was not used: calibrate on something of known size."
    )


def _is_intraoral(dataset: Dataset) -> bool:
    sop_class = str(dataset.get("SOPClassUID") or "")
    return sop_class in (INTRAORAL, f"{INTRAORAL}.1") or dataset.get("Modality") == "IO"


def _shape_only(dataset: Dataset, notes: tuple[str, ...]) -> FoundSpacing:
    # Pixel Aspect Ratio, section C.7.6.3.1.7: vertical, then horizontal size of one pixel
    pair = _pair(dataset, "PixelAspectRatio")
    if pair is None or pair.is_square or not 0.5 <= pair.down / pair.across <= 2:
        return FoundSpacing(notes=notes)
    return FoundSpacing(aspect=pair.down / pair.across, notes=notes)


def _magnification(dataset: Dataset) -> tuple[float | None, str]:
    stated = _numbers(dataset, "EstimatedRadiographicMagnificationFactor")
    if not stated:
        # Section C.8.7.1.1.1 relates both: source to detector ÷ source to patient
        detector = _numbers(dataset, "DistanceSourceToDetector")
        patient = _numbers(dataset, "DistanceSourceToPatient")
        if not detector or not patient:
            return None, ""
        stated = (detector[0] / patient[0] if patient[0] else math.nan,)
    if 1 <= stated[0] <= MOST_MAGNIFIED:
        return stated[0], ""
    return None, "The magnification stated in the file cannot be true and was not used."


def _spacing(claim: _Claim, magnification: float | None) -> Spacing:
    mm_per_px = min(claim.pair)
    size = f"{mm_per_px:.4g} mm per pixel"
    if claim.plane == "patient":
        # the correction is in the number already; handing on the factor invites a second one
        return Spacing(mm_per_px, "patient", claim.calibration, None, f"{size}, {_how(claim)}")
    factor = (
        f"the magnification, stated as {magnification:.3g}"
        if magnification
        else "a magnification the file does not state"
    )
    where = {
        "imager": f"{size} at the detector, not in the patient: the implant is smaller by {factor}",
        "scanned": f"{size} of the scanned film, not in the patient: the implant is smaller by "
        f"{factor}",
        "unknown": f"{size}; the file does not say whether at the detector or in the patient",
    }[claim.plane]
    return Spacing(mm_per_px, claim.plane, None, magnification, f"{where}.")


def _how(claim: _Claim) -> str:
    return {
        "FIDUCIAL": "calibrated in the file on an object of known size (FIDUCIAL): true only at "
        "that object's depth.",
        "GEOMETRY": "corrected in the file for an assumed geometry (GEOMETRY): true only at the "
        "depth that was assumed.",
        None: "corrected in the file, which does not say how: true only at the depth that was "
        "assumed.",
    }[claim.calibration]
