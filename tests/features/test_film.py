"""The door for films: what is no film is refused in one sentence, and nothing is half read."""

import hashlib
import os
import struct
import warnings
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageFile

from features.film import UnreadableFilm, inverted, read_film_file
from tests.features.dicom_files import as_bytes, dataset, ramp
from tests.features.picture_files import DEEP, STEPS, encoded, tiff

EXACT = 1e-6  # float32 of a number between 0 and 1
PNG = encoded(STEPS, "PNG")


def read(data):
    return read_film_file(data, "film")


def test_the_same_from_disk_and_from_bytes(tmp_path):
    path = tmp_path / "film.png"
    path.write_bytes(encoded(STEPS, "PNG"))
    from_disk, from_bytes = read_film_file(path), read(path.read_bytes())
    np.testing.assert_array_equal(from_disk.pixels, from_bytes.pixels)
    assert from_disk.sha256 == from_bytes.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


def test_the_name_does_not_matter(tmp_path):
    path = tmp_path / "film.dcm"
    path.write_bytes(encoded(STEPS, "JPEG"))
    assert read_film_file(path).width == 64


def test_pixels_are_read_only():
    with pytest.raises(ValueError, match="read-only"):
        read(encoded(STEPS, "PNG")).pixels[0, 0] = 1


def test_an_even_film_says_so():
    film = read(encoded(Image.new("L", (64, 40), 90), "PNG"))
    assert any("same grey" in note for note in film.notes)


def test_inverting_exchanges_dark_and_bright_and_is_said():
    film = read(encoded(STEPS, "PNG"))
    negative = inverted(film)
    np.testing.assert_allclose(negative.pixels, 1 - STEPS / 255, atol=EXACT)
    assert not negative.pixels.flags.writeable
    assert negative.sha256 == film.sha256
    assert "by hand" in negative.notes[-1]
    np.testing.assert_allclose(film.pixels, STEPS / 255, atol=EXACT)  # the first is untouched


def test_inverting_twice_gives_the_film_back():
    film = read(encoded(STEPS, "PNG"))
    again = inverted(inverted(film))
    np.testing.assert_allclose(again.pixels, film.pixels, atol=EXACT)
    assert again.notes == film.notes


HUGE = struct.pack(">II", 12_000, 12_000)
VERY_HUGE = struct.pack(">II", 2**31 - 1, 2**31 - 1)


def with_size(size):
    ihdr = PNG[12:16] + size + PNG[24:29]
    return PNG[:12] + ihdr + struct.pack(">I", zlib.crc32(ihdr)) + PNG[33:]


BAD = {
    "nothing": (b"", "is empty (0 bytes)"),
    "text": (b"Liebe Kollegin, anbei das Bild.\r\n", "is a text file"),
    "long text": ("ä".encode() * 4000, "is a text file"),
    "text beginning like a bitmap": (b"BM is where the film was taken " * 3, "is a text file"),
    "JSON": (b'{"radiofixture": "marks/1"}', "is a text file"),
    "PDF": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", "a PDF document"),
    "SVG": (b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"/>', "SVG drawing"),
    "HEIC": (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "a HEIC photo"),
    "AVIF": (b"\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1avif", "an AVIF picture"),
    "MP4": (b"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00isommp42", "a video"),
    "Matroska": (b"\x1a\x45\xdf\xa3" + b"\x01" * 60, "a video"),
    "AVI": (b"RIFF\x00\x10\x00\x00AVI LIST" + b"\x00" * 60, "a video"),
    "GIF": (encoded(STEPS, "GIF"), "a GIF picture"),
    "JPEG 2000": (encoded(STEPS, "JPEG2000"), "JPEG 2000 picture"),
    "ZIP": (b"PK\x03\x04\x14\x00\x00\x00\x08\x00" + b"\x01" * 40, "an archive"),
    "locked ZIP": (b"PK\x03\x04\x14\x00\x01\x00\x08\x00" + b"\x01" * 40, "locked (encrypted)"),
    "OpenSSL": (b"Salted__\x9a\x01\x02\x03" + bytes(range(128, 250)), "is encrypted"),
    "CMS": (bytes.fromhex("308006092a864886f70d010703a080") + b"\x01" * 40, "is encrypted"),
    "noise": (bytes([7, 200, 3, 1] * 60), "no film file that is known here"),
    "only a PNG's first bytes": (PNG[:8], "the PNG is cut off"),
    "PNG cut in half": (PNG[: len(PNG) // 2], "the PNG is damaged or cut off"),
    "PNG with a wrong sum": (PNG[:45] + bytes([PNG[45] ^ 255]) + PNG[46:], "the PNG is damaged"),
    "PNG of 144 million pixels": (with_size(HUGE), "12000 × 12000 pixels"),
    "PNG of 4 quintillion pixels": (with_size(VERY_HUGE), "million this program opens"),
    "JPEG cut in half": (encoded(STEPS, "JPEG")[:-200], "the JPEG is damaged or cut off"),
    "only a JPEG's first bytes": (b"\xff\xd8\xff\xe0", "the JPEG is damaged or cut off"),
    "TIFF without a directory": (b"II*\x00\x08\x00\x00\x00", "the TIFF is"),
    "TIFF cut in half": (tiff(DEEP)[:2000], "the TIFF is"),
    "BMP cut in half": (encoded(STEPS, "BMP")[:1500], "the BMP is damaged or cut off"),
    "WebP cut in half": (encoded(STEPS, "WEBP")[:60], "the WebP is damaged or cut off"),
    "a small picture": (encoded(STEPS[:20], "PNG"), "only 64 × 20 pixels"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_is_no_film_is_refused_in_one_sentence(case, tmp_path):
    data, expected = BAD[case]
    path = tmp_path / "film.png"
    path.write_bytes(data)
    assert expected in refusal_of(path)


def assert_is_one_sentence(sentence):
    assert "\n" not in sentence
    assert sentence.endswith(".")
    assert ". " not in sentence
    assert "; " in sentence  # what is wrong; the way out


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"restart_marker_rows": 1}])
def test_a_jpeg_cut_anywhere_is_refused(options):
    whole = encoded(STEPS + np.arange(40, dtype=np.uint8)[:, None] // 10, "JPEG", **options)
    read(whole)
    for kept in range(1, len(whole) - 2, 23):
        with pytest.raises(UnreadableFilm):
            read(whole[:kept])


def test_a_tiff_cut_anywhere_is_refused():
    whole = encoded(DEEP, "TIFF", compression="tiff_lzw")
    read(whole)
    for kept in [*range(1, len(whole), 211), *range(len(whole) - 40, len(whole))]:
        with pytest.raises(UnreadableFilm):
            read(whole[:kept])


def refusal_of(path):
    with pytest.raises(UnreadableFilm) as caught:
        read_film_file(path)
    sentence = str(caught.value)
    assert sentence.startswith(f"{path}: ")
    assert_is_one_sentence(sentence.removeprefix(f"{path}: "))
    return sentence


def test_a_missing_file_is_refused(tmp_path):
    assert "there is no such file; check the path" in refusal_of(tmp_path / "none.png")


def test_a_folder_is_refused(tmp_path):
    assert "is a folder; choose one film" in refusal_of(tmp_path)


def test_a_name_too_long_is_refused(tmp_path):
    assert "it cannot be opened" in refusal_of(tmp_path / ("x" * 5000))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    assert "not an ordinary file; " in refusal_of(tmp_path / "pipe")


def test_a_file_that_may_not_be_read_is_refused(tmp_path, monkeypatch):
    def forbidden(path):
        raise PermissionError(13, "Permission denied", str(path))

    (tmp_path / "film.png").write_bytes(PNG)
    monkeypatch.setattr(Path, "read_bytes", forbidden)
    assert "it cannot be opened (Permission denied)" in refusal_of(tmp_path / "film.png")


def test_a_file_beyond_reason_is_refused_unread(tmp_path):
    with (tmp_path / "film.tif").open("wb") as file:
        file.truncate(600 * 1024 * 1024)  # a hole: it takes no room on the disk
    assert "larger than 512 MB" in refusal_of(tmp_path / "film.tif")


def test_a_name_given_is_the_name_said():
    with pytest.raises(UnreadableFilm, match=r"^upload\.png two: the file is empty"):
        read_film_file(b"", "upload.png\ntwo")


def pillow_warns(monkeypatch):
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 2000)  # it warns of more than these
    return PNG


def pydicom_warns(monkeypatch):
    made = dataset(ramp())
    made.PixelData += b"\x00" * 1000  # it warns of more than Rows and Columns ask for
    return as_bytes(made)


@pytest.mark.parametrize("case", [pillow_warns, pydicom_warns])
def test_decoders_warnings_never_reach_the_user(case, monkeypatch):
    data = case(monkeypatch)
    with warnings.catch_warnings(record=True) as heard:
        warnings.simplefilter("always")
        assert read(data).width == 64
    assert heard == []


def test_a_truncated_file_is_not_half_read_by_anybodys_setting():
    assert ImageFile.LOAD_TRUNCATED_IMAGES is False


def test_file_paths_may_be_anything(tmp_path):
    path = tmp_path / "Röntgen 36 ①.png"
    path.write_bytes(PNG)
    assert read_film_file(Path(path)).height == 40
