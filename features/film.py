"""Open a film file: the only door through which pixels come in.

What a file is, is told from its bytes; its name is used in sentences and nowhere else. Nothing
that says who the patient is leaves the readers: only pixels, spacing and notes do.
"""

from __future__ import annotations

import hashlib
import warnings
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import NamedTuple

from features.not_a_film import say_what_it_is
from features.picture import Picture, UnreadableFilm
from features.radiograph import Radiograph
from features.raster import read_raster

__all__ = ["UnreadableFilm", "inverted", "read_film_file"]

LARGEST_BYTES = 512 * 1024 * 1024
SMALLEST_PX = 32
INVERTED = "Turned by hand from negative to positive: dark and bright were exchanged."


class Reader(NamedTuple):
    """One format: how its bytes are known, and who decodes them."""

    kind: str
    knows: Callable[[bytes], bool]
    read: Callable[[bytes], Picture]


def read_film_file(source: Path | bytes, name: str = "") -> Radiograph:
    """Read a film from a file or from a file's bytes.

    Parameters
    ----------
    source : Path or bytes
        A DICOM, PNG, JPEG, TIFF, BMP or WebP file.
    name : str
        What to call the file in sentences; the path where left out.

    Raises
    ------
    UnreadableFilm
        One sentence: which file, what is wrong, the way out.
    """
    called = " ".join((name or (str(source) if isinstance(source, Path) else "this film")).split())
    try:
        data = _bytes_of(source)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # decoders warn of trifles; faults are raised
            picture = _read(data)
    except UnreadableFilm as fault:
        # `from None`: a decoder's own message may quote the patient's name
        raise UnreadableFilm(f"{called}: {fault}") from None
    picture.grey.setflags(write=False)
    return Radiograph(
        pixels=picture.grey,
        sha256=hashlib.sha256(data).hexdigest(),
        bits=picture.bits,
        notes=picture.notes,
        spacing=picture.spacing,
    )


def inverted(radiograph: Radiograph) -> Radiograph:
    """Exchange dark and bright, for a film that came as a negative.

    A picture file does not say whether metal is its bright or its dark end, and guessing wrong
    would turn bores into posts: so nothing is turned unasked. Twice gives the film back.
    """
    pixels = 1 - radiograph.pixels
    pixels.setflags(write=False)
    if INVERTED in radiograph.notes:
        notes = tuple(note for note in radiograph.notes if note != INVERTED)
    else:
        notes = (*radiograph.notes, INVERTED)
    return replace(radiograph, pixels=pixels, notes=notes)


def _bytes_of(source: Path | bytes) -> bytes:
    if isinstance(source, bytes):
        return source
    try:
        _check_path(source)
        return source.read_bytes()
    except OSError as error:
        reason = error.strerror or "the disk does not answer"
        raise UnreadableFilm(f"it cannot be opened ({reason}); check the path.") from None


def _check_path(path: Path) -> None:
    if not path.exists():
        raise UnreadableFilm("there is no such file; check the path.")
    if path.is_dir():
        raise UnreadableFilm("this is a folder; choose one film in it.")
    if not path.is_file():
        raise UnreadableFilm("this is not an ordinary file; copy the film to a disk first.")
    if path.stat().st_size > LARGEST_BYTES:
        raise UnreadableFilm("the file is larger than 512 MB; export a single film from it.")


def _read(data: bytes) -> Picture:
    if not data:
        raise UnreadableFilm("the file is empty (0 bytes); copy it again from where it came.")
    reader = next((reader for reader in READERS if reader.knows(data)), None)
    if reader is None:
        raise UnreadableFilm(say_what_it_is(data))
    picture = _decoded(reader, data)
    height, width = picture.grey.shape
    if min(height, width) < SMALLEST_PX:
        raise UnreadableFilm(
            f"only {width} × {height} pixels, too few to measure on (at least {SMALLEST_PX} × "
            f"{SMALLEST_PX}); export the film in full size."
        )
    if picture.grey.min() == picture.grey.max():
        even = "Every pixel has the same grey: there is nothing on this film to measure."
        return replace(picture, notes=(*picture.notes, even))
    return picture


def _decoded(reader: Reader, data: bytes) -> Picture:
    try:
        return reader.read(data)
    except UnreadableFilm:
        raise
    except MemoryError:
        raise UnreadableFilm("too large for this computer's memory; export it smaller.") from None
    except Exception:  # noqa: BLE001 - on damaged bytes decoders raise whatever they please
        raise UnreadableFilm(
            f"the {reader.kind} is damaged or cut off; copy it again from where it came, or "
            "export it anew as PNG or DICOM."
        ) from None


def _starts(*beginnings: bytes) -> Callable[[bytes], bool]:
    return lambda data: data.startswith(beginnings)


def _is_dicom(data: bytes) -> bool:
    # DICOM PS3.10 section 7.1: 128 bytes of anything, then "DICM". Older exports lack both and
    # begin with group 0002 or 0008, little endian.
    return data[128:132] == b"DICM" or data[:4] in (
        b"\x02\x00\x00\x00",
        b"\x02\x00\x10\x00",
        b"\x08\x00\x00\x00",
        b"\x08\x00\x05\x00",
        b"\x08\x00\x08\x00",
        b"\x08\x00\x16\x00",
    )


def _is_bmp(data: bytes) -> bool:
    # "BM" alone begins many a text; the header's own length at byte 14 tells them apart
    return data[:2] == b"BM" and data[14:18] in [
        length.to_bytes(4, "little") for length in (12, 40, 52, 56, 64, 108, 124)
    ]


def _is_webp(data: bytes) -> bool:
    return data[:4] == b"RIFF" and data[8:12] == b"WEBP"


def _read_dicom(data: bytes) -> Picture:
    from features.dicom import read_dicom  # noqa: PLC0415 - pydicom costs 0.3 s, only when needed

    return read_dicom(data)


READERS = (
    Reader("DICOM", _is_dicom, _read_dicom),
    Reader("PNG", _starts(b"\x89PNG\r\n\x1a\n"), partial(read_raster, kind="PNG")),
    Reader("JPEG", _starts(b"\xff\xd8\xff"), partial(read_raster, kind="JPEG")),
    Reader(
        "TIFF",
        _starts(b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+"),
        partial(read_raster, kind="TIFF"),
    ),
    Reader("BMP", _is_bmp, partial(read_raster, kind="BMP")),
    Reader("WebP", _is_webp, partial(read_raster, kind="WEBP")),
)
