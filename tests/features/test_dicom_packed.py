"""Compressed DICOM films come out whole; unusable ones are refused in one sentence."""

import io
from pathlib import Path

import gdcm
import numpy as np
import pydicom.data
import pytest
from PIL import Image
from pydicom import Dataset, dcmread
from pydicom.encaps import encapsulate, generate_frames
from pydicom.uid import JPEGBaseline8Bit, RLELossless

from features.film import UnreadableFilm, read_film_file
from tests.features.dicom_files import (
    INTRAORAL_PROCESSING,
    PATIENT,
    as_bytes,
    dataset,
    dicom_bytes,
    ramp,
)

EXACT = 1e-6  # float32 of a number between 0 and 1


def bundled(name):
    return Path(pydicom.data.get_testdata_file(name))


@pytest.mark.parametrize(
    "name",
    ["MR_small_RLE.dcm", "MR_small_jp2klossless.dcm", "MR_small_jpeg_ls_lossless.dcm"],
)
def test_lossless_compression_changes_no_pixel(name):
    # pydicom's own files: one picture, stored in several transfer syntaxes by other programs
    packed, plain = read_film_file(bundled(name)), read_film_file(bundled("MR_small.dcm"))
    np.testing.assert_array_equal(packed.pixels, plain.pixels)


@pytest.mark.parametrize(
    "syntax",
    [
        gdcm.TransferSyntax.JPEGLosslessProcess14_1,
        gdcm.TransferSyntax.JPEGLosslessProcess14,
        gdcm.TransferSyntax.JPEGLSLossless,
        gdcm.TransferSyntax.JPEG2000Lossless,
    ],
)
@pytest.mark.parametrize("bits", [12, 16])
def test_gdcm_round_trip(tmp_path, syntax, bits):
    rng = np.random.default_rng(5)
    stored = rng.integers(0, 2**bits, (40, 56), dtype=np.uint16)
    plain, packed = tmp_path / "plain.dcm", tmp_path / "packed.dcm"
    plain.write_bytes(dicom_bytes(stored, bits=bits))
    change(plain, packed, syntax)
    assert dcmread(packed).file_meta.TransferSyntaxUID.is_compressed
    np.testing.assert_array_equal(read_film_file(packed).pixels, read_film_file(plain).pixels)


def change(source, target, syntax):
    reader = gdcm.ImageReader()
    reader.SetFileName(str(source))
    assert reader.Read()
    changer = gdcm.ImageChangeTransferSyntax()
    changer.SetTransferSyntax(gdcm.TransferSyntax(syntax))
    changer.SetInput(reader.GetImage())
    assert changer.Change()
    writer = gdcm.ImageWriter()
    writer.SetFileName(str(target))
    writer.SetFile(reader.GetFile())
    writer.SetImage(changer.GetOutput())
    assert writer.Write()


def test_rle_round_trip():
    stored = ramp()
    made = dataset(stored, bits=12)
    made.compress(RLELossless)
    np.testing.assert_allclose(read_film_file(as_bytes(made)).pixels, stored / 4095, atol=EXACT)


def test_jpeg_baseline_comes_within_its_loss_and_is_said(jpeg_of):
    stored = ramp(48, 64, top=255, dtype=np.uint8)
    made = dataset(stored, syntax=JPEGBaseline8Bit)
    made.PixelData = encapsulate([jpeg_of(stored)])
    film = read_film_file(as_bytes(made))
    np.testing.assert_allclose(film.pixels, stored / 255, atol=3 / 255)  # quality 95
    assert any("with loss" in note for note in film.notes)


@pytest.fixture
def jpeg_of():
    def make(levels):
        buffer = io.BytesIO()
        Image.fromarray(levels).save(buffer, "JPEG", quality=95)
        return buffer.getvalue()

    return make


def refusal(data):
    with pytest.raises(UnreadableFilm) as caught:
        read_film_file(data, "film.dcm")
    sentence = str(caught.value)
    assert caught.value.__cause__ is None
    assert sentence.startswith("film.dcm: ")
    assert "\n" not in sentence
    assert not any(value in sentence for value in PATIENT.values())
    return sentence


def without_pixels():
    made = dataset(ramp(), bits=12)
    del made.PixelData
    return made


def with_changes(**changes):
    made = dataset(ramp(), bits=12)
    for keyword, value in changes.items():
        setattr(made, keyword, value)
    return made


def packed_as(uid):
    made = dataset(ramp(), bits=12, syntax=uid)
    made.PixelData = encapsulate([b"\x00\x01" * 100])
    return made


@pytest.mark.parametrize(
    ("made", "expected"),
    [
        (without_pixels(), "holds no picture"),
        (with_changes(PixelData=b""), "holds no picture"),
        (with_changes(Rows=0), "does not state its size"),
        (with_changes(Rows=60000, Columns=60000), "60000 × 60000 pixels"),
        (with_changes(PixelData=b"\x00\x01" * 50), "damaged or cut off"),
        (with_changes(BitsAllocated=13), "damaged or cut off"),
        (packed_as("1.2.840.10008.1.2.4.70"), "cannot be unpacked"),  # JPEG lossless, of rubbish
        (packed_as("1.2.840.10008.1.2.4.201"), "cannot be unpacked"),  # HTJ2K: no decoder here
        (packed_as("1.2.840.10008.1.2.4.100"), "cannot be unpacked"),  # MPEG-2
    ],
)
def test_unusable_dicom_is_refused(made, expected):
    assert expected in refusal(as_bytes(made))


def test_a_deflated_file_is_refused():
    assert "deflated" in refusal(bundled("image_dfl.dcm").read_bytes())


def test_a_dicomdir_is_refused():
    assert "holds no picture" in refusal(bundled("DICOMDIR").read_bytes())


@pytest.mark.parametrize("kept", [140, 200, 400, 900, 3000, 6000])
def test_every_cut_is_refused(kept):
    whole = dicom_bytes(ramp(), bits=12)
    assert kept < len(whole)
    refusal(whole[:kept])


def test_an_empty_dataset_is_refused():
    made = Dataset()
    made.file_meta = dataset(ramp()).file_meta
    made.SOPClassUID = INTRAORAL_PROCESSING
    made.SOPInstanceUID = "1.2.3"
    assert "holds no picture" in refusal(as_bytes(made))


# ISO/IEC 10918-1 B.2.2 and B.2.4.2: the frame header holds the precision, DHT opens a table.
# Found by changing bytes at random: gdcm 3.2 calls abort() on the first, segfaults on the second.
@pytest.mark.parametrize(("marker", "offset", "byte"), [(b"\xff\xc4", 0, 0), (b"\xff\xc3", 4, 138)])
def test_a_decoder_that_ends_its_process_costs_only_this_film(
    tmp_path, capfd, marker, offset, byte
):
    data = bytearray(lossless_jpeg(tmp_path, ramp()))
    data[data.index(marker) + offset] = byte
    assert "cannot be unpacked" in refusal(bytes(data))
    assert capfd.readouterr() == ("", "")


def lossless_jpeg(folder, stored):
    plain, packed = folder / "plain.dcm", folder / "packed.dcm"
    plain.write_bytes(dicom_bytes(stored, bits=12))
    change(plain, packed, gdcm.TransferSyntax.JPEGLosslessProcess14_1)
    return packed.read_bytes()


def test_a_lossless_jpeg_cut_short_is_not_half_read(tmp_path, capfd):
    rng = np.random.default_rng(3)
    whole = lossless_jpeg(tmp_path, rng.integers(0, 4096, (48, 64), dtype=np.uint16))
    made = dcmread(io.BytesIO(whole))
    frame = bytes(next(generate_frames(made.PixelData, number_of_frames=1)))
    made.PixelData = encapsulate([frame[: len(frame) // 2]])
    assert "cannot be unpacked" in refusal(as_bytes(made))
    assert capfd.readouterr() == ("", "")
