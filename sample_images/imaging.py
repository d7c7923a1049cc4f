"""From what reaches the receptor to a film: scatter, noise, blur, tone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from sample_images.arrays import Array
from sample_images.camera import LEVELS, Camera, draw_camera
from sample_images.tone import LOG_FLOOR, render_tone, to_pixels

__all__ = [
    "LEVELS",
    "LOG_FLOOR",
    "Camera",
    "Received",
    "add_noise",
    "draw_camera",
    "expose",
    "noiseless",
    "to_pixels",
]

VEIL_STEP_PX, VEIL_PX = 10, 90.0  # scatter spreads over some 2 mm, worked out on a coarse grid
# light from deep in a scintillator spreads more than light from near its exit, so that noise,
# photon by photon, keeps finer grain than the picture (Lubberts 1968; the share is from memory)
GRAIN = 0.6


@dataclass(frozen=True, slots=True, eq=False)
class Received:
    """What reaches the receptor, free of noise, as shares of the open beam.

    Attributes
    ----------
    signal : (H, W) array
        Energy absorbed.
    variance : (H, W) array
        Variance of the signal's quantum noise over that of the open beam.
    """

    signal: Array
    variance: Array


def expose(received: Received, camera: Camera, rng: np.random.Generator) -> Array:
    """Grey values of a film in 0-1, bright = radiopaque."""
    seen = noiseless(received, camera)
    return render_tone(add_noise(seen, camera, rng), camera)


def noiseless(received: Received, camera: Camera) -> Received:
    """Scattered and blurred as the receptor sees it; the variance is that of quanta arriving."""
    signal, variance = received.signal, received.variance
    if camera.scatter:
        veil = camera.scatter * _veil(signal)
        signal = (1 - camera.scatter) * signal + veil
        variance = (1 - camera.scatter) * variance + veil
    return Received(blurred(signal, camera.blur_px), variance)


def blurred(picture: Array, blur_px: float) -> Array:
    """Smear by a Gaussian point spread."""
    if not blur_px:
        return picture
    return np.asarray(ndimage.gaussian_filter(picture, blur_px, mode="nearest", truncate=3.5))


def _veil(signal: Array) -> Array:
    """Scatter: the picture smeared over millimetres."""
    step = VEIL_STEP_PX
    wide = ndimage.gaussian_filter(signal[::step, ::step], VEIL_PX / step, mode="nearest")
    rows = np.arange(signal.shape[0]) / step
    columns = np.arange(signal.shape[1]) / step
    return _between_rows(_between_rows(wide, rows).T, columns).T


def _between_rows(picture: Array, rows: Array) -> Array:
    """Interpolate linearly between rows, the last one held."""
    last = len(picture) - 1
    low = np.minimum(rows.astype(int), last)
    share = (rows - low)[:, None]
    return np.asarray(picture[low] * (1 - share) + picture[np.minimum(low + 1, last)] * share)


def add_noise(seen: Received, camera: Camera, rng: np.random.Generator) -> Array:
    """Add quantum noise, grained by the receptor's light spread, and electronic noise."""
    if camera.photons <= 0:
        return seen.signal
    quantum = np.sqrt(np.clip(seen.variance, 0, None) / camera.photons)
    quantum = quantum * rng.standard_normal(seen.signal.shape, np.float32)
    electronic = rng.standard_normal(seen.signal.shape, np.float32) * (
        camera.electronic / camera.photons
    )
    return np.asarray(seen.signal + blurred(quantum, GRAIN * camera.blur_px) + electronic)
