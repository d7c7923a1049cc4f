"""What every film reader hands back, and the steps all of them share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from features.radiograph import Spacing

LARGEST_PX = 100_000_000  # 400 MB as float32; the largest receptors stay below 50 million pixels
# ITU-R BT.601-7 section 2.5.1: luminance of R, G, B
LUMINANCE = np.array([0.299, 0.587, 0.114], dtype=np.float32)
COLOURED = 16 / 255  # channels of a grey JPEG differ by less, from its chroma rounding


class UnreadableFilm(ValueError):  # noqa: N818 - reads as what it is in a sentence
    """A film that cannot be read; the message says which file, what is wrong and the way out."""


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A decoded film: grey (H, W) float32 0-1, bright = radiopaque, and what came with it."""

    grey: NDArray[np.float32]
    bits: int
    notes: tuple[str, ...] = ()
    spacing: Spacing | None = None


def too_large(size: str) -> UnreadableFilm:
    """Build the refusal of a picture that is not decoded at all; `size` as in "10 × 10"."""
    return UnreadableFilm(
        f"it claims {size} pixels, more than the {LARGEST_PX // 1_000_000} million this program "
        "opens; crop it or export it smaller."
    )


def check_size(width: int, height: int) -> None:
    """Refuse a picture too large to decode, before it is decoded.

    Raises
    ------
    UnreadableFilm
        More than `LARGEST_PX` pixels.
    """
    if width * height > LARGEST_PX:
        raise too_large(f"{width} × {height}")


def to_unit(levels: NDArray[Any], black: float, white: float) -> NDArray[np.float32]:
    """Grey levels as float32: `black` to 0, `white` to 1, whichever of them is larger.

    Where both are one level the picture is even and comes out as 0.
    """
    span = float(white) - float(black)
    if span == 0:
        return np.zeros(levels.shape, dtype=np.float32)
    unit = levels.astype(np.float32)
    unit -= np.float32(black)
    unit /= np.float32(span)
    return np.clip(unit, 0.0, 1.0, out=unit)


def bits_used(levels: NDArray[Any]) -> int:
    """Bits that the distinct grey levels would need: an 8-bit film saved in 16 bits has 8."""
    if levels.dtype.kind in "iu" and levels.itemsize <= 2:
        low = int(levels.min())
        counts = np.bincount((levels.astype(np.int32) - low).ravel())
        distinct = int(np.count_nonzero(counts))
    else:
        distinct = np.unique(levels).size
    return max(1, (distinct - 1).bit_length())


def luminance(colour: NDArray[np.float32]) -> tuple[NDArray[np.float32], tuple[str, ...]]:
    """Brightness of an (H, W, 3) picture in 0-1, and a note where it was really in colour."""
    red, green, blue = (colour[..., channel] for channel in range(3))
    apart = max(float(np.abs(red - green).max()), float(np.abs(green - blue).max()))
    if apart == 0:
        return np.ascontiguousarray(green), ()
    grey = (colour @ LUMINANCE).astype(np.float32)
    coloured = "The picture is in colour; its brightness was read as the film's grey."
    return grey, (coloured,) if apart > COLOURED else ()
