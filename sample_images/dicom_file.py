"""A simulated film as a DICOM object: Digital Intra-Oral X-Ray Image, For Presentation.

Modules and attribute types follow DICOM PS3.3 2024d, A.28 and C.8.11 (read in part). Nothing in it
comes from a person: names, dates and identifiers are invented, the latter from the film's stem, so
that one film gives one file, byte for byte.
"""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from typing import Any

import numpy as np
from pydicom import Dataset
from pydicom.dataset import FileDataset, FileMetaDataset
from pydicom.sr.codedict import codes
from pydicom.uid import UID, DigitalIntraOralXRayImageStorageForPresentation, ExplicitVRLittleEndian

from sample_images.simulated import Pixels

DAY, TIME = "20200101", "120000"  # invented: a film of no day must be the same every day
BITS = (8, 12, 16)
PHOTOMETRICS = ("MONOCHROME1", "MONOCHROME2")
# DICOM context group 4017, by the second digit of the tooth (ISO 3950)
REGIONS = {
    "1": "CentralIncisorRegion",
    "2": "LateralIncisorRegion",
    "3": "CanineRegion",
    "4": "FirstPremolarRegion",
    "5": "SecondPremolarRegion",
    "6": "FirstMolarRegion",
    "7": "SecondMolarRegion",
    "8": "ThirdMolarRegion",
}


@dataclass(frozen=True, slots=True)
class Geometry:
    """Where the film lay. Lengths in mm.

    Attributes
    ----------
    source_mm : float
        Focal spot to the implant's axis at the platform.
    receptor_mm : float
        From there on to the receptor.
    mm_per_px : float
        Object mm per pixel at the implant's axis at the platform.
    """

    source_mm: float
    receptor_mm: float
    mm_per_px: float

    @property
    def magnification(self) -> float:
        """Size on the receptor over size of the object."""
        return (self.source_mm + self.receptor_mm) / self.source_mm

    @property
    def receptor_mm_per_px(self) -> float:
        """Receptor mm per pixel: what its maker states."""
        return self.mm_per_px * self.magnification


@dataclass(frozen=True, slots=True)
class Style:
    """How a file says the same picture.

    Attributes
    ----------
    bits : int
        Stored, in 8 (if 8) or else 16 allocated.
    photometric : str
        MONOCHROME1 (lowest value shown white) or MONOCHROME2.
    calibrated : bool
        Whether it also states Pixel Spacing corrected for the geometry, and the magnification.
    """

    bits: int = 12
    photometric: str = "MONOCHROME2"
    calibrated: bool = False

    def __post_init__(self) -> None:
        if self.bits not in BITS or self.photometric not in PHOTOMETRICS:
            raise ValueError(
                f"'bits' must be one of {BITS} and 'photometric' one of {PHOTOMETRICS} "
                f"(got {self.bits}, '{self.photometric}')."
            )


def dicom_bytes(
    pixels: Pixels, stem: str, geometry: Geometry, truth: dict[str, Any], style: Style | None = None
) -> bytes:
    """Make the file's bytes; explicit VR little endian, uncompressed.

    Parameters
    ----------
    pixels : (H, W) uint16 array, bright = radiopaque
    stem : str
        Names the film; every identifier follows from it.
    truth : dict
        The film's truth; its ``view`` (jaw, tooth) and ``tone`` are written into the header.
    """
    style = style or Style()
    dataset = FileDataset("", {}, file_meta=_file_meta(stem), preamble=b"\0" * 128)
    _add_patient(dataset, stem)
    _add_series(dataset, stem)
    _add_place(dataset, truth["view"])
    _add_pixels(dataset, pixels, style, truth["tone"]["tone"])
    _add_geometry(dataset, geometry, style)
    buffer = io.BytesIO()
    dataset.save_as(buffer, enforce_file_format=True)
    return buffer.getvalue()


def derived_uid(stem: str, what: str) -> UID:
    """UUID-derived identifier (PS3.5 B.2) that depends on nothing but its two words."""
    digest = hashlib.sha256(f"{what} of {stem}".encode()).digest()
    return UID(f"2.25.{int.from_bytes(digest[:16], 'big')}")


def _file_meta(stem: str) -> FileMetaDataset:
    meta = FileMetaDataset()
    meta.FileMetaInformationVersion = b"\x00\x01"
    meta.MediaStorageSOPClassUID = DigitalIntraOralXRayImageStorageForPresentation
    meta.MediaStorageSOPInstanceUID = derived_uid(stem, "instance")
    meta.TransferSyntaxUID = ExplicitVRLittleEndian
    # our own, as pydicom's default would change the bytes with its version
    meta.ImplementationClassUID = derived_uid("sample_images", "implementation")
    meta.ImplementationVersionName = "SIMULATED_FILM"
    return meta


def _add_patient(dataset: Dataset, stem: str) -> None:
    dataset.PatientName = "SIMULATED^FILM"
    dataset.PatientID = f"SIM-{derived_uid(stem, 'patient')[-8:]}"
    dataset.PatientBirthDate = ""
    dataset.PatientSex = ""
    dataset.StudyInstanceUID = derived_uid(stem, "study")
    dataset.StudyDate, dataset.StudyTime = DAY, TIME
    dataset.StudyID = "1"
    dataset.AccessionNumber = ""
    dataset.ReferringPhysicianName = ""


def _add_series(dataset: Dataset, stem: str) -> None:
    dataset.SOPClassUID = DigitalIntraOralXRayImageStorageForPresentation
    dataset.SOPInstanceUID = derived_uid(stem, "instance")
    dataset.SeriesInstanceUID = derived_uid(stem, "series")
    dataset.Modality = "IO"
    dataset.PresentationIntentType = "FOR PRESENTATION"
    dataset.SeriesNumber, dataset.InstanceNumber = 1, 1
    dataset.Manufacturer = "simulated: no device made this film"
    dataset.ContentDate, dataset.ContentTime = DAY, TIME
    dataset.AcquisitionDate, dataset.AcquisitionTime = DAY, TIME
    dataset.AcquisitionContextSequence = []
    dataset.DetectorType = "SCINTILLATOR"
    dataset.PositionerType = "NONE"


def _add_place(dataset: Dataset, view: dict[str, Any]) -> None:
    tooth, lower = str(view["tooth"]), view["jaw"] == "lower"
    left = tooth[0] in "23"
    dataset.ImageLaterality = "L" if left else "R"
    # seen from the tube the patient's left teeth run backwards to the right; crowns are shown up
    # in the lower and down in the upper jaw, so that down is toward the feet in both
    dataset.PatientOrientation = ["P" if left else "A", "F"]
    region = _code(codes.cid4016.Mandible if lower else codes.cid4016.Maxilla)
    region.AnatomicRegionModifierSequence = [_code(getattr(codes.cid4017, REGIONS[tooth[1]]))]
    dataset.AnatomicRegionSequence = [region]


def _code(concept: Any) -> Dataset:
    item = Dataset()
    item.CodeValue = concept.value
    item.CodingSchemeDesignator = concept.scheme_designator
    item.CodeMeaning = concept.meaning
    return item


def _add_pixels(dataset: Dataset, pixels: Pixels, style: Style, tone: str) -> None:
    inverse = style.photometric == "MONOCHROME1"
    white = 2**style.bits - 1
    stored = np.round(pixels / np.float64(65535) * white).astype(np.uint16)
    stored = white - stored if inverse else stored
    dataset.ImageType = ["ORIGINAL", "PRIMARY", ""]
    dataset.SamplesPerPixel = 1
    dataset.PhotometricInterpretation = style.photometric
    dataset.Rows, dataset.Columns = pixels.shape
    dataset.BitsAllocated = 8 if style.bits == 8 else 16
    dataset.BitsStored, dataset.HighBit = style.bits, style.bits - 1
    dataset.PixelRepresentation = 0
    dataset.PixelIntensityRelationship = "LOG" if tone == "log" else "LIN"
    dataset.PixelIntensityRelationshipSign = 1 if inverse else -1
    dataset.RescaleIntercept, dataset.RescaleSlope, dataset.RescaleType = 0, 1, "US"
    dataset.PresentationLUTShape = "INVERSE" if inverse else "IDENTITY"
    # LINEAR (C.11.2.1.2.1): this window spans exactly 0 to white
    dataset.WindowCenter, dataset.WindowWidth = 2 ** (style.bits - 1), 2**style.bits
    dataset.LossyImageCompression = "00"
    dataset.BurnedInAnnotation = "NO"
    narrow = stored.astype("u1") if style.bits == 8 else stored.astype("<u2")
    data = narrow.tobytes()
    dataset.PixelData = data + b"\0" * (len(data) % 2)
    dataset["PixelData"].VR = "OB" if style.bits == 8 else "OW"


def _add_geometry(dataset: Dataset, geometry: Geometry, style: Style) -> None:
    at_receptor = _decimal(geometry.receptor_mm_per_px)
    dataset.ImagerPixelSpacing = [at_receptor, at_receptor]
    if not style.calibrated:
        return
    at_implant = _decimal(geometry.mm_per_px)
    dataset.PixelSpacing = [at_implant, at_implant]
    dataset.PixelSpacingCalibrationType = "GEOMETRY"
    dataset.PixelSpacingCalibrationDescription = "Corrected to the plane of the implant's axis"
    dataset.EstimatedRadiographicMagnificationFactor = _decimal(geometry.magnification)
    dataset.DistanceSourceToDetector = _decimal(geometry.source_mm + geometry.receptor_mm)
    dataset.DistanceSourceToPatient = _decimal(geometry.source_mm)


def _decimal(value: float) -> str:
    """Write a decimal string of at most 16 characters (PS3.5 6.2)."""
    return f"{value:.8g}"
