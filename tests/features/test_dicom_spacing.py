"""What a pixel spacing means; the cases and their sources are in published/dicom.toml."""

import io
import tomllib
from pathlib import Path

import numpy as np
import pytest
from pydicom import dcmread

from features.dicom_spacing import find_spacing
from features.film import read_film_file
from tests.features.dicom_files import dicom_bytes

PUBLISHED = Path(__file__).parents[1] / "published" / "dicom.toml"
CASES = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["spacing"]
STORED = np.arange(1000 * 800, dtype=np.uint16).reshape(1000, 800)


def read(**header):
    return read_film_file(dicom_bytes(STORED, **header), "film.dcm")


@pytest.mark.published
@pytest.mark.parametrize("case", CASES, ids=[case["section"][:60] for case in CASES])
def test_spacing_means_what_the_standard_says(case):
    film = read(**case["header"])
    spacing = film.spacing
    assert len(film.notes) == len(case.get("notes", []))
    for note, expected in zip(film.notes, case.get("notes", []), strict=True):
        assert expected in note
    assert (film.width, film.height) == (case.get("width", 800), case.get("height", 1000))
    if "plane" not in case:
        assert spacing is None
        return
    assert (spacing.plane, spacing.calibration) == (case["plane"], case.get("calibration"))
    assert spacing.mm_per_px == pytest.approx(case["mm_per_px"])
    assert spacing.magnification == (
        pytest.approx(case["magnification"]) if "magnification" in case else None
    )


def test_the_imager_spacing_is_never_called_the_patients():
    sentence = read(ImagerPixelSpacing=[0.025, 0.025]).spacing.sentence
    assert "at the detector, not in the patient" in sentence
    assert "does not state" in sentence


def test_the_factor_in_a_calibrated_spacing_is_not_handed_on_to_be_used_twice():
    spacing = read(
        PixelSpacing=[0.024, 0.024],
        PixelSpacingCalibrationType="GEOMETRY",
        EstimatedRadiographicMagnificationFactor=1.04,
    ).spacing
    assert spacing.magnification is None


@pytest.mark.parametrize("other", ["", "UNKNOWN", "OTHER"])
def test_only_the_two_calibration_types_of_the_standard_count(other):
    film = read(PixelSpacing=[0.025, 0.025], PixelSpacingCalibrationType=other)
    assert film.spacing.plane == "unknown"


@pytest.mark.parametrize(("modality", "trusted"), [("IO", False), ("PX", True), ("DX", True)])
def test_a_panoramic_may_be_larger_than_a_periapical(modality, trusted):
    film = read(
        ImagerPixelSpacing=[0.15, 0.15],  # 120 × 150 mm
        Modality=modality,
        SOPClassUID="1.2.840.10008.5.1.4.1.1.1.1",
    )
    assert (film.spacing is not None) is trusted


@pytest.mark.parametrize("bad", ["x\\y", "0.025", "0.02\\0.02\\0.02", "nan\\nan", "-0.02\\-0.02"])
def test_a_spacing_that_is_no_pair_of_numbers_is_not_used(bad):
    data = dicom_bytes(STORED, PixelSpacing=["0.02345678", "0.02345678"])
    written = bad.ljust(len("0.02345678\\0.02345678")).encode()
    film = read_film_file(data.replace(b"0.02345678\\0.02345678", written))
    assert film.spacing is None
    assert any("Pixel Spacing is zero or no number" in note for note in film.notes)


def test_find_spacing_reads_no_more_than_it_needs():
    header = dcmread(_as_file(PixelSpacing=[0.025, 0.025]), stop_before_pixels=True)
    for keyword in ("PatientName", "PatientID", "PatientBirthDate"):
        del header[keyword]
    assert find_spacing(header).spacing.plane == "unknown"


def _as_file(**header):
    return io.BytesIO(dicom_bytes(STORED, **header))
