"""DICOM films, each rule with its section of DICOM PS3.3 2024d (dicom.nema.org) beside it."""

from pathlib import Path

import numpy as np
import pydicom.data
import pytest
from pydicom import dcmread

from features.film import read_film_file
from tests.features.dicom_files import (
    INTRAORAL_PROCESSING,
    PATIENT,
    as_bytes,
    dataset,
    dicom_bytes,
    ramp,
)

EXACT = 1e-6  # float32 of a number between 0 and 1
CLIPS_METAL = {"WindowCenter": 1000, "WindowWidth": 500}


def read(stored, **attributes):
    return read_film_file(dicom_bytes(stored, **attributes), "film.dcm")


@pytest.mark.parametrize("bits", [8, 12, 14, 16])
def test_grey_runs_over_the_bits_stored(bits):
    top = 2**bits - 1
    stored = ramp(top=top, dtype=np.uint8 if bits == 8 else np.uint16)
    film = read(stored, bits=bits)
    np.testing.assert_allclose(film.pixels, stored / top, atol=EXACT)
    assert film.pixels.dtype == np.float32
    assert not film.pixels.flags.writeable


def test_signed_values_run_from_their_lowest():
    stored = ramp(top=4095).astype(np.int16) - 2048
    film = read(stored, bits=12)
    np.testing.assert_allclose(film.pixels, (stored + 2048) / 4095, atol=EXACT)


def test_a_stored_range_that_is_not_used_is_not_taken():
    stored = ramp(top=4095)  # 12-bit values, declared as 16
    np.testing.assert_allclose(read(stored, bits=16).pixels, stored / 4095, atol=EXACT)


def test_monochrome1_is_turned():
    # C.7.6.3.1.2: MONOCHROME1, "the minimum sample value is intended to be displayed as white"
    stored = ramp()
    first = read(stored, bits=12, PhotometricInterpretation="MONOCHROME1")
    second = read(stored, bits=12, PhotometricInterpretation="MONOCHROME2")
    np.testing.assert_allclose(first.pixels, 1 - second.pixels, atol=EXACT)
    assert second.pixels[0, 0] == 0


def test_inverse_presentation_lut_with_monochrome1_turns_once():
    # C.8.11.3.1.2: INVERSE goes with MONOCHROME1, IDENTITY with MONOCHROME2
    film = read(
        ramp(),
        bits=12,
        PhotometricInterpretation="MONOCHROME1",
        PresentationLUTShape="INVERSE",
    )
    assert film.pixels[0, 0] == 1
    assert film.notes == ()


@pytest.mark.parametrize(
    ("photometric", "shape"), [("MONOCHROME2", "INVERSE"), ("MONOCHROME1", "IDENTITY")]
)
def test_contradicting_polarity_is_turned_and_said(photometric, shape):
    film = read(ramp(), bits=12, PhotometricInterpretation=photometric, PresentationLUTShape=shape)
    assert film.pixels[0, 0] == 1
    assert any("contradicts itself" in note for note in film.notes)


def test_a_negative_rescale_slope_turns_the_film():
    # C.11.1.1.2: output = slope × stored + intercept; bright is the high end of the output
    film = read(ramp(), bits=12, RescaleSlope=-1, RescaleIntercept=4095)
    assert film.pixels[0, 0] == 1
    assert film.pixels[0, -1] == 0


def test_a_window_that_would_clip_metal_is_widened():
    # C.11.2.1.2: the window clips on display; a measurement must not
    stored = ramp()
    film = read(stored, bits=12, **CLIPS_METAL)
    np.testing.assert_allclose(film.pixels, stored / 4095, atol=EXACT)
    assert any("widened so that metal" in note for note in film.notes)


def test_a_window_that_holds_the_whole_film_is_applied():
    # C.11.2.1.2.1, LINEAR: centre 2048, width 4096 runs from 0 to 4095
    stored = 1000 + ramp(top=2200)
    film = read(stored, bits=16, WindowCenter=2048, WindowWidth=4096)
    np.testing.assert_allclose(film.pixels, stored / 4095, atol=EXACT)
    assert film.notes == ()


def test_a_window_counts_in_rescaled_values():
    # C.11.2.1.2: the window applies to the output of the rescale
    stored = ramp(top=4095)
    film = read(
        stored,
        bits=12,
        RescaleSlope=2,
        RescaleIntercept=-1000,
        WindowCenter=3095.5,
        WindowWidth=8191,
    )
    np.testing.assert_allclose(film.pixels, stored / 4095, atol=EXACT)
    assert film.notes == ()


@pytest.mark.parametrize(
    "window", [{"WindowCenter": 1000, "WindowWidth": 0}, {"WindowCenter": 1000}]
)
def test_a_window_without_width_is_ignored(window):
    film = read(ramp(), bits=12, **window)
    np.testing.assert_allclose(film.pixels, ramp() / 4095, atol=EXACT)


def test_a_display_curve_is_left_out_and_said():
    # C.11.2.1.3: SIGMOID flattens both ends
    film = read(ramp(), bits=12, VOILUTFunction="SIGMOID", **CLIPS_METAL)
    np.testing.assert_allclose(film.pixels, ramp() / 4095, atol=EXACT)
    assert any("display curve" in note for note in film.notes)


def test_padding_is_dark_and_does_not_set_the_range():
    # C.7.5.1.1.2
    stored = 1000 + ramp(top=1000)
    stored[:8] = 65535
    film = read(stored, PixelPaddingValue=65535)
    assert (film.pixels[:8] == 0).all()
    np.testing.assert_allclose(film.pixels[8:], (stored[8:] - 1000) / 1000, atol=EXACT)


def test_bits_are_those_really_used():
    assert read(ramp(width=256, top=255) * 16, bits=12).bits == 8


def test_a_for_processing_image_is_read():
    film = read(ramp(), bits=12, SOPClassUID=INTRAORAL_PROCESSING)
    assert film.pixels[0, -1] == 1


def test_the_first_frame_is_read_and_said():
    frames = np.stack([ramp(), ramp() // 2])
    film = read(frames, bits=12, NumberOfFrames=2)
    np.testing.assert_allclose(film.pixels, ramp() / 4095, atol=EXACT)
    assert any("2 frames" in note for note in film.notes)


def test_colour_becomes_luminance():
    colour = np.zeros((40, 50, 3), dtype=np.uint8)
    colour[...] = (255, 0, 0)
    made = dataset(
        colour,
        Rows=40,
        Columns=50,
        SamplesPerPixel=3,
        PlanarConfiguration=0,
        PhotometricInterpretation="RGB",
    )
    film = read_film_file(as_bytes(made))
    np.testing.assert_allclose(film.pixels, 0.299, atol=EXACT)  # ITU-R BT.601-7, 2.5.1


def test_pixels_are_made_square_about_their_centres():
    # 10.7.1.3: PixelSpacing 0.30\0.25 is 0.30 down and 0.25 across. A plane in mm stays that plane.
    rows, columns = np.mgrid[0:50, 0:80]
    down_mm, across_mm = (rows + 0.5) * 0.3, (columns + 0.5) * 0.25
    stored = np.round(1000 * (down_mm + across_mm)).astype(np.uint16)
    film = read(stored, bits=16, PixelSpacing=[0.3, 0.25], Modality="PX", SOPClassUID="1.2.3")
    assert (film.height, film.width) == (60, 80)
    assert film.spacing.mm_per_px == 0.25
    y, x = np.mgrid[1:59, 1:79]  # the outermost rows have no neighbour to lie between
    expected = 1000 * (0.25 * (y + 0.5) + 0.25 * (x + 0.5))
    np.testing.assert_allclose(film.pixels[1:59, 1:79] * 65535, expected, atol=1)


def test_pixel_aspect_ratio_makes_square_pixels_without_a_scale():
    # C.7.6.3.1.7: vertical \ horizontal
    film = read(ramp(40, 60), bits=12, PixelAspectRatio=["3", "2"])
    assert (film.height, film.width) == (60, 60)
    assert film.spacing is None


@pytest.mark.parametrize("name", ["CR1/6154", "CR2/6247", "CR3/6278"])
def test_a_scanner_written_computed_radiograph_is_read(name):
    # pydicom ships these cut down to 16 × 16 px; laid side by side they are a film of 16 × 16 mm
    header = dcmread(Path(pydicom.data.DATA_ROOT) / "test_files/dicomdirtests/77654033" / name)
    stored = np.tile(header.pixel_array, (10, 10))
    header.Rows, header.Columns = stored.shape
    header.PixelData = stored.tobytes()
    film = read_film_file(as_bytes(header))
    assert header.PhotometricInterpretation == "MONOCHROME1"
    np.testing.assert_array_equal(
        np.argsort(film.pixels[:16, :16], axis=None, kind="stable"),
        np.argsort(-stored[:16, :16].astype(int), axis=None, kind="stable"),
    )
    assert (film.spacing.plane, film.spacing.mm_per_px) == ("imager", 0.1)


def test_a_file_without_its_128_bytes_is_read():
    made = dataset(ramp(), bits=12)
    whole = as_bytes(made)
    film = read_film_file(whole[132:])  # PS3.10 7.1: preamble and prefix left out
    np.testing.assert_allclose(film.pixels, ramp() / 4095, atol=EXACT)


def test_nothing_of_the_patient_leaves_the_reader():
    film = read(ramp(), bits=12, PixelSpacing=[0.3, 0.25], BurnedInAnnotation="YES", Modality="PX")
    said = repr((film.notes, film.spacing, film.bits, film.sha256))
    assert "burnt into the picture" in said
    for value in PATIENT.values():
        assert value not in said


@pytest.mark.parametrize(
    ("modality", "expected"), [("PX", "magnifies unevenly"), ("CT", "not a plain radiograph")]
)
def test_films_that_measure_badly_say_so(modality, expected):
    film = read(ramp(), bits=12, Modality=modality)
    assert any(expected in note for note in film.notes)
