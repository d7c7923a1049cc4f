"""A telephone's photograph of a film on a screen: how many films reach the person who must read it.

The screen's pixels are a grid of red, green and blue stripes. What a sensor makes of such a grid is
its first harmonic, dimmed by lens and pixel, sampled where the sensor's pixels look: sampling it at
just those places gives the moire its true, aliased pattern without drawing a single stripe. All
figures are invented within what telephones and office screens show.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from PIL import Image
from scipy import ndimage

from sample_images.arrays import Array
from sample_images.simulated import Pixels

DISPLAY_GAMMA = 2.2  # sRGB, as a plain power
DARK_UI = 0.012  # linear light of the viewing program round the film
BEZEL = 0.002


@dataclass(frozen=True, slots=True)
class Photo:
    """Geometry and light of one photograph.

    Attributes
    ----------
    to_photo : 3 x 3 rows
        Homography from film to photo pixels (an integer is a pixel's centre in both).
    shape : (rows, columns) of the photo.
    pixels_per_px : float
        Screen pixels per film pixel: how far the film was zoomed on the screen.
    moire : float
        Amplitude of the screen's grid as the sensor sees it, share of the light.
    glare : (x, y, radius, strength)
        A window or lamp mirrored in the screen, in shares of the photo's width, and of full white.
    veil : float
        Room light scattered by the screen, share of full white.
    blur_px : float
        Standard deviation of focus and shake.
    cast : (red, green, blue)
        Gains of white balance gone a little wrong.
    noise : float
        Standard deviation in a mid grey, share of white.
    quality : int
        Of the JPEG.
    """

    to_photo: tuple[tuple[float, float, float], ...]
    shape: tuple[int, int]
    pixels_per_px: float
    moire: float
    glare: tuple[float, float, float, float]
    veil: float
    blur_px: float
    cast: tuple[float, float, float]
    noise: float
    quality: int

    def to_json(self) -> dict[str, Any]:
        """For the truth file."""
        return {name: getattr(self, name) for name in self.__slots__}

    def point(self, point: tuple[float, float] | list[float]) -> list[float]:
        """Where a film point lies on the photo."""
        x, y, w = np.array(self.to_photo) @ (*point, 1.0)
        return [float(x / w), float(y / w)]

    def enlargement(self, point: tuple[float, float] | list[float]) -> float:
        """Photo pixels per film pixel at a film point: root of the area's enlargement there."""
        x, y = point
        origin, right, down = (
            np.array(self.point(at)) for at in ((x, y), (x + 0.5, y), (x, y + 0.5))
        )
        (a, b), (c, d) = right - origin, down - origin
        return 2 * math.sqrt(abs(a * d - b * c))


def draw_photo(film_shape: tuple[int, int], rng: np.random.Generator) -> Photo:
    """Draw how a film of this shape was photographed."""
    height, width = film_shape
    enlarged = float(rng.uniform(1.05, 1.3))
    shape = (round(height * enlarged * 1.16), round(width * enlarged * 1.22))
    homography = _homography(film_shape, shape, enlarged, rng)
    warm = float(rng.uniform(-0.06, 0.06))
    return Photo(
        to_photo=tuple((float(a), float(b), float(c)) for a, b, c in homography),
        shape=shape,
        pixels_per_px=float(enlarged * rng.uniform(0.78, 0.97)),
        moire=float(rng.uniform(0.04, 0.14)),
        glare=(
            float(rng.uniform(0, 1)),
            float(rng.uniform(0, 1)),
            float(rng.uniform(0.15, 0.4)),
            float(rng.uniform(0.03, 0.22)),
        ),
        veil=float(rng.uniform(0.003, 0.02)),
        blur_px=float(rng.uniform(0.6, 1.2)),
        cast=(1 + warm, 1.0, 1 - warm + float(rng.uniform(0.0, 0.06))),
        noise=float(rng.uniform(0.004, 0.012)),
        quality=int(rng.integers(78, 93)),
    )


def _homography(
    film_shape: tuple[int, int],
    shape: tuple[int, int],
    enlarged: float,
    rng: np.random.Generator,
) -> Array:
    """Seen from up to some 12 degrees off square, a little turned, from three film heights away."""
    middle = _moved(-(film_shape[1] - 1) / 2, -(film_shape[0] - 1) / 2)
    turn = math.radians(float(rng.uniform(-4, 4)))
    spin = np.array(
        [
            [math.cos(turn), -math.sin(turn), 0],
            [math.sin(turn), math.cos(turn), 0],
            [0, 0, 1.0],
        ]
    )
    off, toward = math.radians(float(rng.uniform(3, 12))), float(rng.uniform(0, math.tau))
    lean_x, lean_y = off * math.cos(toward), off * math.sin(toward)
    away = 3.0 * film_shape[0]
    tilt = np.array(
        [
            [math.cos(lean_x), 0, 0],
            [0, math.cos(lean_y), 0],
            [math.sin(lean_x) / away, math.sin(lean_y) / away, 1.0],
        ]
    )
    zoom = np.diag([enlarged, enlarged, 1.0])
    back = _moved(
        (shape[1] - 1) / 2 + float(rng.uniform(-12, 12)),
        (shape[0] - 1) / 2 + float(rng.uniform(-12, 12)),
    )
    return np.asarray(back @ zoom @ tilt @ spin @ middle)


def _moved(x: float, y: float) -> Array:
    return np.array([[1.0, 0, x], [0, 1.0, y], [0, 0, 1.0]])


def photograph(pixels: Pixels, photo: Photo, rng: np.random.Generator) -> Pixels:
    """Photograph a film.

    Parameters
    ----------
    pixels : (H, W) uint16 array

    Returns
    -------
    (rows, columns, 3) uint8 array, before the JPEG.
    """
    x, y = _film_coordinates(photo)
    light = _screen_light(pixels, x, y, photo)
    grids = _grids(x, y, photo)
    out = np.empty((*photo.shape, 3), np.uint8)
    added = photo.veil + _glare(photo)
    for channel, gain in enumerate(photo.cast):
        lit = gain * (light * grids[channel] + added)
        seen = np.clip(lit * _corners(photo.shape), 0, 1) ** (1 / DISPLAY_GAMMA)
        seen += photo.noise * rng.standard_normal(photo.shape, dtype=np.float32)
        out[..., channel] = np.clip(np.round(seen * 255), 0, 255)
    return out


def jpeg_bytes(pixels: Pixels, quality: int) -> bytes:
    """Squeeze grey or colour 8-bit pixels."""
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "JPEG", quality=quality)
    return buffer.getvalue()


def _film_coordinates(photo: Photo) -> tuple[Array, Array]:
    rows, columns = photo.shape
    inverse = np.linalg.inv(np.array(photo.to_photo)).astype(np.float32)
    across = np.arange(columns, dtype=np.float32)[None, :]
    down = np.arange(rows, dtype=np.float32)[:, None]
    x, y, w = (row[0] * across + row[1] * down + row[2] for row in inverse)
    return x / w, y / w


def _screen_light(pixels: Pixels, x: Array, y: Array, photo: Photo) -> Array:
    """Linear light of the screen where each photo pixel looks; a dark program round the film."""
    height, width = pixels.shape
    grey = (pixels / np.float32(65535)).astype(np.float32)
    # the film is softened before it is sampled; what the lens leaves of the grid is in `moire`
    softness = photo.blur_px / photo.enlargement((width / 2, height / 2))
    lit = ndimage.gaussian_filter(grey ** np.float32(DISPLAY_GAMMA), softness, mode="nearest")
    film = ndimage.map_coordinates(lit, [y, x], order=1, mode="nearest", prefilter=False)
    inside = (x > -0.5) & (x < width - 0.5) & (y > -0.5) & (y < height - 0.5)
    frame = (np.abs(x - width / 2) < 0.56 * width) & (np.abs(y - height / 2) < 0.55 * height)
    return np.where(inside, film, np.where(frame, np.float32(DARK_UI), np.float32(BEZEL)))


def _grids(x: Array, y: Array, photo: Photo) -> tuple[Array, Array, Array]:
    """First harmonics of the screen's grid: rows for all colours, stripes a third apart."""
    across, down = x * np.float32(photo.pixels_per_px), y * np.float32(photo.pixels_per_px)
    rows = np.cos(np.float32(math.tau) * down)
    grids = []
    for third in (-1, 0, 1):
        stripes = np.cos(np.float32(math.tau) * (across - np.float32(third / 3)))
        grids.append(1 + photo.moire * (np.float32(0.7) * rows + stripes))
    return grids[0], grids[1], grids[2]


def _glare(photo: Photo) -> Array:
    rows, columns = photo.shape
    x, y, radius, strength = photo.glare
    across = (np.arange(columns, dtype=np.float32) / columns - x) / radius
    down = (np.arange(rows, dtype=np.float32) / columns - y * rows / columns) / (1.6 * radius)
    squared = across[None, :] ** 2 + down[:, None] ** 2
    return np.asarray(np.float32(strength) * np.exp(-(squared**1.5)))


def _corners(shape: tuple[int, int]) -> Array:
    """Darken toward the corners as small lenses do, by an eighth."""
    rows, columns = shape
    across = np.linspace(-1, 1, columns, dtype=np.float32)
    down = np.linspace(-1, 1, rows, dtype=np.float32)
    return np.asarray(1 - np.float32(0.06) * (across[None, :] ** 2 + down[:, None] ** 2))
