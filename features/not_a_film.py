"""Name the files that people hand in by mistake, so that the refusal helps."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

FORMATS = "DICOM, PNG, TIFF, JPEG, BMP or WebP"
ENCRYPTED_ZIP = 0x01  # ZIP specification 4.4.4: general purpose flag, bit 0
# RFC 5652: content types signedData, envelopedData, digestedData, encryptedData …
CMS_CONTENT = bytes.fromhex("2a864886f70d0107")


class Stranger(NamedTuple):
    """A kind of file that is no film: how it is known, what to say."""

    knows: Callable[[bytes], bool]
    sentence: str


def say_what_it_is(data: bytes) -> str:
    """One sentence: what a file that no reader knows seems to be, and the way out."""
    for stranger in STRANGERS:
        if stranger.knows(data):
            return stranger.sentence
    return f"this is no film file that is known here; export the film as {FORMATS}."


def _starts(*beginnings: bytes) -> Callable[[bytes], bool]:
    return lambda data: data.startswith(beginnings)


def _is_encrypted_zip(data: bytes) -> bool:
    return data.startswith(b"PK\x03\x04") and bool(data[6] & ENCRYPTED_ZIP)


def _is_encrypted(data: bytes) -> bool:
    locked = (b"Salted__", b"-----BEGIN PGP MESSAGE")
    return data.startswith(locked) or (data[:1] == b"\x30" and CMS_CONTENT in data[:64])


def _brand(*brands: bytes) -> Callable[[bytes], bool]:
    # ISO/IEC 14496-12 section 4.3: length, "ftyp", major brand
    return lambda data: data[4:8] == b"ftyp" and data[8:12] in (brands or (data[8:12],))


def _is_markup(data: bytes) -> bool:
    begin = data[:1024].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return begin.startswith((b"<?xml", b"<svg", b"<!doctype svg")) and b"<svg" in data[:65536]


def _is_video(data: bytes) -> bool:
    moving = (b"\x1a\x45\xdf\xa3", b"\x00\x00\x01\xba", b"\x00\x00\x01\xb3", b"FLV\x01")
    return data.startswith(moving) or (data[:4] == b"RIFF" and data[8:12] == b"AVI ")


def _is_text(data: bytes) -> bool:
    head = data[:4096]
    if any(byte < 32 and byte not in b"\t\n\r\f" for byte in head):
        return False
    try:
        head.decode("utf-8")
    except UnicodeDecodeError as error:
        return error.start >= len(head) - 3 and len(data) > len(head)
    return True


EXPORT = f"export the film itself as {FORMATS}."
STRANGERS = (
    Stranger(_starts(b"%PDF"), f"this is a PDF document, not a film; {EXPORT}"),
    Stranger(_is_encrypted_zip, "this is a locked (encrypted) archive; unlock and unpack it."),
    Stranger(
        _starts(b"PK\x03\x04", b"\x1f\x8b", b"7z\xbc\xaf\x27\x1c", b"Rar!", b"BZh"),
        "this is an archive or an office document; unpack it and choose the film inside.",
    ),
    Stranger(_is_encrypted, "the file is encrypted; decrypt it where it came from first."),
    Stranger(
        _brand(b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1"),
        "this is a HEIC photo; save it as JPEG or PNG (a telephone can be set to JPEG).",
    ),
    Stranger(_brand(b"avif", b"avis"), "this is an AVIF picture; save it as PNG."),
    Stranger(_brand(), "this is a video; save one still picture from it as PNG."),
    Stranger(_is_video, "this is a video; save one still picture from it as PNG."),
    Stranger(_starts(b"GIF87a", b"GIF89a"), "this is a GIF picture; save it as PNG."),
    Stranger(
        _starts(b"\x00\x00\x00\x0cjP  ", b"\xff\x4f\xff\x51"),
        "this is a JPEG 2000 picture; save it as PNG or TIFF.",
    ),
    Stranger(
        _starts(b"\xff\x0a", b"\x00\x00\x00\x0cJXL "),
        "this is a JPEG XL picture; save it as PNG or TIFF.",
    ),
    Stranger(_starts(b"8BPS"), "this is a layered picture of a paint program; save it as PNG."),
    Stranger(_is_markup, f"this is an SVG drawing, not a film; {EXPORT}"),
    Stranger(_is_text, f"this is a text file, whatever its name says; {EXPORT}"),
)
