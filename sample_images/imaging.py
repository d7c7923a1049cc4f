"""From what reaches the receptor to the grey values of a film."""

from __future__ import annotations

import io
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from PIL import Image
from scipy import ndimage

from sample_images.arrays import Array

LEVELS = ("clean", "clinical", "hard")
WHITE = 65535
LOG_FLOOR = 0.035  # log-converted films are windowed; below this share of the beam all is white


@dataclass(frozen=True, slots=True)
class Camera:
    """How the receptor and its software turn intensity into grey.

    Attributes
    ----------
    energy_kev : float
        Effective energy of the beam.
    blur_px : float
        Standard deviation of the point spread (focal spot and receptor together).
    scatter : float
        Share of scattered radiation, spread over millimetres.
    photons : float
        Quanta counted by a pixel in the open beam; sets the quantum noise.
    electronic : float
        Electronic noise, in quanta.
    tone : str
        "linear", "log" or "gamma".
    gamma : float
        Exponent applied last (1 for linear).
    white : float
        Share of the film clipped to white.
    jpeg : int
        Quality of a JPEG squeeze, 0 = none.
    """

    energy_kev: float
    blur_px: float
    scatter: float
    photons: float
    electronic: float
    tone: str
    gamma: float
    white: float
    jpeg: int

    def to_json(self) -> dict[str, Any]:
        """For the truth file."""
        return asdict(self)


def draw_camera(level: str, rng: np.random.Generator) -> Camera:
    """Draw a receptor and its settings for one level of difficulty."""
    share = rng.random(8)

    def between(index: int, low: float, high: float) -> float:
        return float(low + share[index] * (high - low))

    if level == "clean":
        return Camera(45.0, between(0, 0.6, 0.9), 0.0, 20000.0, 2.0, "linear", 1.0, 0.0, 0)
    tone = ("linear", "log", "gamma")[int(share[1] * 3)]
    gamma = {"linear": 1.0, "log": between(2, 0.6, 0.8), "gamma": between(2, 0.65, 1.3)}[tone]
    energy = between(3, 42, 50)
    if level == "clinical":
        blur, photons = between(0, 0.9, 1.5), between(4, 1200, 4000)
        return Camera(energy, blur, between(5, 0.02, 0.06), photons, 4.0, tone, gamma, 0.002, 0)
    return Camera(
        energy,
        between(0, 1.2, 2.0),
        between(5, 0.05, 0.12),
        between(4, 350, 1000),
        6.0,
        tone,
        gamma,
        between(6, 0.01, 0.05),
        int(between(7, 60, 85)),
    )


def expose(transmission: Array, camera: Camera, rng: np.random.Generator) -> Array:
    """Grey values of a film in 0-1, bright = radiopaque, from transmission (1 = open beam)."""
    signal = ndimage.gaussian_filter(transmission, camera.blur_px, mode="nearest")
    if camera.scatter:
        veil = _veil(transmission)
        signal = (1 - camera.scatter) * signal + camera.scatter * veil
    return render_tone(add_noise(signal, camera, rng), camera)


def _veil(transmission: Array) -> Array:
    """Scatter: the picture smeared over tens of pixels, worked out on a coarse grid."""
    step = 10
    small = transmission[::step, ::step]
    wide = ndimage.gaussian_filter(small, 9, mode="nearest")
    rows = np.arange(transmission.shape[0]) / step
    columns = np.arange(transmission.shape[1]) / step
    grid = np.meshgrid(rows, columns, indexing="ij")
    return np.asarray(ndimage.map_coordinates(wide, grid, order=1, mode="nearest"))


def add_noise(signal: Array, camera: Camera, rng: np.random.Generator) -> Array:
    """Add quantum noise (spread: root of the count; neighbours share a little) and electronic."""
    if camera.photons <= 0:
        return signal
    counts = signal * camera.photons
    quantum = ndimage.gaussian_filter(rng.standard_normal(signal.shape), 0.45) / 0.72
    noise = quantum * np.sqrt(np.clip(counts, 0, None))
    noise += camera.electronic * rng.standard_normal(signal.shape)
    return np.asarray((counts + noise) / camera.photons)


def render_tone(signal: Array, camera: Camera) -> Array:
    """Tone curve, window and optional JPEG squeeze."""
    log = camera.tone == "log"
    grey = -np.log(np.clip(signal, LOG_FLOOR, None)) if log else 1 - signal
    black = float(np.quantile(grey, 0.002))
    white = float(np.quantile(grey, 1 - camera.white))
    grey = np.clip((grey - black) / max(white - black, 1e-6), 0, 1) ** camera.gamma
    return _jpeg(grey, camera.jpeg) if camera.jpeg else grey


def _jpeg(grey: Array, quality: int) -> Array:
    buffer = io.BytesIO()
    Image.fromarray(np.round(grey * 255).astype(np.uint8)).save(buffer, "JPEG", quality=quality)
    with Image.open(buffer) as image:
        return np.asarray(image, float) / 255


def to_pixels(grey: Array) -> Array:
    """16-bit whole numbers."""
    return np.round(np.clip(grey, 0, 1) * WHITE).astype(np.uint16)
