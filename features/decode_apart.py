"""Unpack DICOM pixels in a process of their own.

On damaged JPEG the native decoder may end its whole process or write to stderr past Python. Here
that costs one film, not the program and the work in it.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

LONGEST_S = 60
# libjpeg says these on stderr and then fills the rest of the picture with what it likes
HALF_READ = (b"premature end", b"bad Huffman")


def decode_apart(data: bytes) -> NDArray[Any]:
    """Return the stored values of a DICOM file's first frame.

    Raises
    ------
    RuntimeError
        The child ended badly, took too long, or only half read the picture.
    """
    package_root = str(Path(__file__).parents[1])
    try:
        child = subprocess.run(
            [sys.executable, "-m", "features.decode_apart"],
            input=data,
            capture_output=True,
            check=True,
            timeout=LONGEST_S,
            env=os.environ | {"PYTHONPATH": package_root},
        )
    except subprocess.SubprocessError:
        raise RuntimeError("the decoder failed") from None
    if any(sign in child.stderr for sign in HALF_READ):
        raise RuntimeError("the decoder only half read the picture")
    stored: NDArray[Any] = np.load(io.BytesIO(child.stdout), allow_pickle=False)
    return stored


def _decode(data: bytes) -> bytes:
    from pydicom import dcmread  # noqa: PLC0415 - only the child needs it
    from pydicom.pixels.utils import pixel_array  # noqa: PLC0415 - the same

    buffer = io.BytesIO()
    stored = pixel_array(dcmread(io.BytesIO(data), force=True), index=0)
    np.save(buffer, stored, allow_pickle=False)
    return buffer.getvalue()


if __name__ == "__main__":
    sys.stdout.buffer.write(_decode(sys.stdin.buffer.read()))
