"""Picture files made on the fly, also of the kinds that Pillow cannot write."""

import io
import struct
import zlib

import numpy as np
from PIL import Image

STEPS = np.tile(np.arange(0, 256, 4, dtype=np.uint8), (40, 1))  # 0 … 252, left to right
DEEP = np.arange(40 * 64, dtype=np.uint16).reshape(40, 64) * 25


def encoded(image, kind, **options):
    picture = image if isinstance(image, Image.Image) else Image.fromarray(image)
    buffer = io.BytesIO()
    picture.save(buffer, kind, **options)
    return buffer.getvalue()


def tiff(values, *, white_is_zero=False, bits=16, big_endian=False):
    """A bare TIFF of one strip, TIFF 6.0 section 2: Pillow cannot write all of these."""
    order = ">" if big_endian else "<"
    strip = values.astype(values.dtype.newbyteorder(order)).tobytes()
    entries = [
        (256, 4, values.shape[1]),
        (257, 4, values.shape[0]),
        (258, 3, bits),
        (259, 3, 1),
        (262, 3, 0 if white_is_zero else 1),
        (273, 4, 8),
        (277, 3, 1),
        (278, 4, values.shape[0]),
        (279, 4, len(strip)),
    ]
    directory = struct.pack(f"{order}H", len(entries))
    for tag, kind, value in entries:
        packed = struct.pack(f"{order}{'HH' if kind == 3 else 'I'}", *[value, 0][: 5 - kind])
        directory += struct.pack(f"{order}HHI", tag, kind, 1) + packed
    head = (b"MM\x00*" if big_endian else b"II*\x00") + struct.pack(f"{order}I", 8 + len(strip))
    return head + strip + directory + b"\x00" * 4


def png(values, colour_type, bits):
    """A bare PNG, ISO/IEC 15948: for the pixel types Pillow cannot write."""

    def chunk(name, body):
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    rows = values.astype(">u2" if bits == 16 else np.uint8).reshape(values.shape[0], -1)
    body = b"".join(b"\x00" + row.tobytes() for row in rows)
    head = struct.pack(">IIBBBBB", values.shape[1], values.shape[0], bits, colour_type, 0, 0, 0)
    chunks = (chunk(b"IHDR", head), chunk(b"IDAT", zlib.compress(body)), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)
