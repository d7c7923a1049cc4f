"""From the receptor's signal to the grey values of a file: tone curve, window, sharpening, bits."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy import ndimage

from sample_images.arrays import Array
from sample_images.camera import Camera

WHITE = 65535
BLACK = 0.002  # share of the film that the window leaves black
LOG_FLOOR = 0.035  # log-converted films are windowed; below this share of the beam all is white


@dataclass(frozen=True, slots=True)
class Tone:
    """A tone curve and the window cut out of it: `black` and `white` are ends on the curve."""

    log: bool
    gamma: float
    black: float
    white: float

    def grey(self, signal: Array) -> Array:
        """Grey values in 0-1, bright = radiopaque."""
        share = (_curve(signal, log=self.log) - self.black) / max(self.white - self.black, 1e-6)
        return np.asarray(np.clip(share, 0, 1) ** self.gamma)


def fit_tone(signal: Array, camera: Camera) -> Tone:
    """Window a film: some of it is black, and what the camera clips is white."""
    log = camera.tone == "log"
    black, white = np.quantile(_curve(signal, log=log), [BLACK, 1 - camera.white])
    return Tone(log, camera.gamma, float(black), float(white))


def _curve(signal: Array, *, log: bool) -> Array:
    return np.asarray(-np.log(np.clip(signal, LOG_FLOOR, None)) if log else 1 - signal)


def render_tone(signal: Array, camera: Camera) -> Array:
    """Grey values in 0-1, bright = radiopaque, as displayed."""
    grey = fit_tone(signal, camera).grey(signal)
    grey = quantise(sharpen(grey, camera.sharpening, camera.sharpening_px), camera.bits)
    return _jpeg(grey, camera.jpeg) if camera.jpeg else grey


def sharpen(grey: Array, amount: float, radius_px: float) -> Array:
    """Unsharp mask: it leaves a dark halo beside metal, where the grey scale ends a plain one."""
    if not amount:
        return grey
    coarse = ndimage.gaussian_filter(grey, radius_px, mode="nearest")
    return np.asarray(np.clip(grey + amount * (grey - coarse), 0, 1))


def quantise(grey: Array, bits: int) -> Array:
    """Round to the grey levels that so many bits hold."""
    most = 2**bits - 1
    return np.asarray(np.round(grey * most) / most)


def _jpeg(grey: Array, quality: int) -> Array:
    buffer = io.BytesIO()
    Image.fromarray(np.round(grey * 255).astype(np.uint8)).save(buffer, "JPEG", quality=quality)
    with Image.open(buffer) as image:
        return np.asarray(image, float) / 255


def to_pixels(grey: Array) -> Array:
    """16-bit whole numbers."""
    return np.round(np.clip(grey, 0, 1) * WHITE).astype(np.uint16)
