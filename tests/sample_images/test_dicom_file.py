"""DICOM films: the attributes the standard asks for, and what a reader of its own makes of them."""

import io

import numpy as np
import pydicom
import pytest

from features.film import read_film_file
from sample_images.dicom_file import REGIONS, Geometry, Style, derived_uid, dicom_bytes

GEOMETRY = Geometry(source_mm=300.0, receptor_mm=9.0, mm_per_px=0.04)
TRUTH = {"view": {"jaw": "lower", "tooth": "36"}, "tone": {"tone": "log"}}


@pytest.fixture(scope="module")
def pixels():
    rng = np.random.default_rng(1)
    out = rng.integers(0, 65536, (701, 551)).astype(np.uint16)
    out[0, :2] = 0, 65535
    return out


def stored(pixels, truth=TRUTH, **style):
    return dicom_bytes(pixels, "some-film-1", GEOMETRY, truth, Style(**style))


# attributes of type 1 in PS3.3 A.28's mandatory modules (C.7.1.1 to C.12.1, C.8.11.1 to 9)
TYPE_1 = (
    *("StudyInstanceUID", "SeriesInstanceUID", "SOPClassUID", "SOPInstanceUID", "Modality"),
    *("PresentationIntentType", "ImageType", "ImageLaterality", "PositionerType"),
    *("SamplesPerPixel", "PhotometricInterpretation", "Rows", "Columns", "BitsAllocated"),
    *("BitsStored", "HighBit", "PixelRepresentation", "PixelData", "PixelIntensityRelationship"),
    *("PixelIntensityRelationshipSign", "RescaleIntercept", "RescaleSlope", "RescaleType"),
    *("PresentationLUTShape", "LossyImageCompression", "BurnedInAnnotation", "ImagerPixelSpacing"),
    *("AnatomicRegionSequence", "WindowCenter", "WindowWidth"),
)
TYPE_2 = (
    *("PatientName", "PatientID", "PatientBirthDate", "PatientSex", "StudyDate", "StudyTime"),
    *("ReferringPhysicianName", "StudyID", "AccessionNumber", "SeriesNumber", "InstanceNumber"),
    *("Manufacturer", "AcquisitionContextSequence", "DetectorType", "PatientOrientation"),
)


@pytest.mark.parametrize("photometric", ["MONOCHROME1", "MONOCHROME2"])
@pytest.mark.parametrize("bits", [8, 12, 16])
def test_every_attribute_the_standard_asks_for_is_there(pixels, bits, photometric):
    dataset = pydicom.dcmread(io.BytesIO(stored(pixels, bits=bits, photometric=photometric)))
    assert dataset.SOPClassUID == "1.2.840.10008.5.1.4.1.1.1.3"
    assert dataset.file_meta.TransferSyntaxUID == "1.2.840.10008.1.2.1"
    assert dataset.file_meta.MediaStorageSOPInstanceUID == dataset.SOPInstanceUID
    for keyword in TYPE_1:
        assert dataset.get(keyword) not in (None, "", []), keyword
    for keyword in TYPE_2:
        assert keyword in dataset, keyword
    assert dataset.Modality == "IO"
    assert list(dataset.ImageType) == ["ORIGINAL", "PRIMARY", ""]
    assert dataset.BitsStored == bits == dataset.HighBit + 1
    assert str(dataset.PatientName) == "SIMULATED^FILM"


@pytest.mark.parametrize("photometric", ["MONOCHROME1", "MONOCHROME2"])
@pytest.mark.parametrize("bits", [8, 12, 16])
def test_the_reader_gets_the_film_back_to_half_a_step(pixels, bits, photometric):
    film = read_film_file(stored(pixels, bits=bits, photometric=photometric))
    step = 1 / (2**bits - 1)
    np.testing.assert_allclose(film.pixels, pixels / 65535, atol=step / 2 + 1e-6)
    assert film.notes == ()


def test_the_spacing_is_that_of_the_receptor():
    assert GEOMETRY.magnification == pytest.approx(1.03)
    assert GEOMETRY.receptor_mm_per_px == pytest.approx(0.0412)


def test_a_plain_file_states_the_receptors_spacing_alone(pixels):
    spacing = read_film_file(stored(pixels)).spacing
    assert spacing.plane == "imager"
    assert spacing.mm_per_px == pytest.approx(0.0412, rel=1e-6)
    assert spacing.magnification is None


def test_a_calibrated_file_states_the_spacing_at_the_implant(pixels):
    data = stored(pixels, calibrated=True)
    dataset = pydicom.dcmread(io.BytesIO(data))
    spacing = read_film_file(data).spacing
    assert (spacing.plane, spacing.calibration) == ("patient", "GEOMETRY")
    assert spacing.mm_per_px == pytest.approx(0.04, rel=1e-6)
    # PS3.3 C.8.7.1.1.1: the factor is source to detector over source to patient
    stated = float(dataset.EstimatedRadiographicMagnificationFactor)
    distances = dataset.DistanceSourceToDetector, dataset.DistanceSourceToPatient
    assert stated == pytest.approx(float(distances[0]) / float(distances[1]))
    assert float(dataset.ImagerPixelSpacing[0]) == pytest.approx(stated * spacing.mm_per_px)


def test_bright_metal_says_which_way_the_beam_goes(pixels):
    # PS3.3 C.8.11.3.1.2: -1 where higher values mean less beam, as in MONOCHROME2 bone-white films
    for photometric, sign, shape in (
        ("MONOCHROME1", 1, "INVERSE"),
        ("MONOCHROME2", -1, "IDENTITY"),
    ):
        dataset = pydicom.dcmread(io.BytesIO(stored(pixels, photometric=photometric)))
        assert dataset.PixelIntensityRelationshipSign == sign
        assert dataset.PresentationLUTShape == shape
        assert dataset.PixelIntensityRelationship == "LOG"


@pytest.mark.parametrize(
    ("jaw", "tooth", "side", "region", "toward"),
    [
        ("lower", "36", "L", "Mandible", ["P", "F"]),
        ("lower", "44", "R", "Mandible", ["A", "F"]),
        ("upper", "25", "L", "Maxilla", ["P", "F"]),
    ],
)
def test_the_header_names_the_place(pixels, jaw, tooth, side, region, toward):
    truth = {"view": {"jaw": jaw, "tooth": tooth}, "tone": {"tone": "linear"}}
    dataset = pydicom.dcmread(io.BytesIO(stored(pixels, truth)))
    assert dataset.ImageLaterality == side
    assert list(dataset.PatientOrientation) == toward
    place = dataset.AnatomicRegionSequence[0]
    assert place.CodeMeaning == region
    assert "region" in place.AnatomicRegionModifierSequence[0].CodeMeaning
    assert set(REGIONS) == set("12345678")


def test_one_film_is_one_file_and_another_has_identifiers_of_its_own(pixels):
    assert stored(pixels) == stored(pixels)
    names = [derived_uid(stem, what) for stem in ("a-1", "a-2") for what in ("study", "series")]
    assert len(set(names)) == 4
    assert all(uid.is_valid for uid in names)


def test_an_unknown_style_is_refused():
    with pytest.raises(ValueError, match="'bits' must be one of"):
        Style(bits=10)
