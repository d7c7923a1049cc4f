"""Blurred and closed pictures, by OpenCV: what SciPy gives, in a fifth of the time."""

from __future__ import annotations

from typing import Any, Literal

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import signal

Picture = NDArray[np.floating[Any]]
Beyond = Literal["symmetric", "edge", "constant"]
BORDERS: dict[Beyond, int] = {
    "symmetric": cv2.BORDER_REFLECT,
    "edge": cv2.BORDER_REPLICATE,
    "constant": cv2.BORDER_CONSTANT,
}
REACH = 4.0  # standard deviations at which a Gaussian is cut off
LONG = 300  # samples of a kernel beyond which Fourier's way is the quicker


def blurred(picture: Picture, along: float, across: float) -> Picture:
    """Gaussian blur down the rows and along them, samples; mirrored at the ends.

    Parameters
    ----------
    picture : (Z, T) array
    along, across : float
        Standard deviations, samples; 0 leaves that direction as it is.
    """
    rows, columns = _gaussian(along), _gaussian(across)
    return np.asarray(cv2.sepFilter2D(picture, -1, columns, rows, borderType=cv2.BORDER_REFLECT))


def blurred_lines(lines: Picture, std: float, beyond: Beyond = "symmetric") -> Picture:
    """Gaussian blur along lines, (N,) or (L, N).

    Parameters
    ----------
    lines : array
    std : float
        Samples.
    beyond : {"symmetric", "edge", "constant"}
        What follows beyond the ends: the line mirrored, its last sample, or nothing.
    """
    flat, kernel = lines.reshape(-1, lines.shape[-1]), _gaussian(std)
    if len(kernel) > LONG:
        reach = len(kernel) // 2
        padded = np.pad(flat, ((0, 0), (reach, reach)), mode=beyond)
        found = signal.fftconvolve(padded, kernel[None], mode="valid", axes=1)
    else:
        found = cv2.sepFilter2D(flat, -1, kernel, np.ones(1), borderType=BORDERS[beyond])
    return np.asarray(found.reshape(lines.shape))


def slope_across(picture: Picture, blur: float) -> Picture:
    """Change of a blurred picture from one column to the next; as at the ends beyond them."""
    kernel = _gaussian(blur)
    places = np.arange(len(kernel)) - len(kernel) // 2
    slope = kernel * places / blur**2
    return np.asarray(cv2.sepFilter2D(picture, -1, slope, kernel, borderType=cv2.BORDER_REPLICATE))


def closed(picture: Picture, rows: int, columns: int) -> Picture:
    """Grey closing by a rectangle of so many samples, an odd number either way."""
    return np.asarray(
        cv2.morphologyEx(picture, cv2.MORPH_CLOSE, np.ones((rows, columns), np.uint8))
    )


def _gaussian(std: float) -> NDArray[np.float64]:
    reach = int(REACH * std + 0.5)
    places = np.arange(-reach, reach + 1)
    kernel = np.exp(-0.5 * (places / std) ** 2) if reach else np.ones(1)
    return np.asarray(kernel / kernel.sum())
