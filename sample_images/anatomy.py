"""What lies around an implant: jaw bone with its crest, two neighbouring teeth, soft tissue.

Everything here is invented anatomy on the plane of the film, in mm: `x` right, `y` down from the
platform, crowns up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from scipy.interpolate import PchipInterpolator

from sample_images.arrays import Array
from sample_images.tooth import Tooth

JAW_MM = 9.0  # thickness of the jaw along the beam
PLATES_MM = 2.2  # of which cortical plates
MARROW = 0.20  # share of mineral in cancellous bone


@dataclass(frozen=True, slots=True)
class Mouth:
    """One site.

    Attributes
    ----------
    crest_knots_mm : sequence of (x, y)
        Bone crest, left to right.
    teeth : tuple of Tooth
    gum_above_crest_mm : float
    cheek_mm : float
        Soft tissue over the whole film.
    grain_mm : float
        Size of the trabecular mesh.
    landmark : str
        "canal", "sinus" or "none".
    landmark_y_mm : float
    """

    crest_knots_mm: tuple[tuple[float, float], ...]
    teeth: tuple[Tooth, ...]
    gum_above_crest_mm: float
    cheek_mm: float
    grain_mm: float
    landmark: str
    landmark_y_mm: float

    def crest_y_mm(self, x_mm: Array | float) -> Array:
        """Height of the bone crest."""
        x, y = zip(*self.crest_knots_mm, strict=True)
        return np.asarray(PchipInterpolator(x, y)(np.clip(x_mm, x[0], x[-1])))


@dataclass(frozen=True, slots=True, eq=False)
class Tissue:
    """A mouth as drawn on one film: (H, W) arrays, mm, the bone before anything displaces it."""

    bone_mm: Array
    in_teeth_mm: Array
    soft_mm: Array
    dentine_mm: Array
    enamel_mm: Array

    def paths_mm(self, displaced_mm: Array) -> dict[str, Array]:
        """Path through everything but the implant, (H, W) arrays in mm by material.

        Parameters
        ----------
        displaced_mm : (H, W) array
            Path already taken by the implant and the space inside it.
        """
        free = np.clip(1 - (displaced_mm + self.in_teeth_mm) / JAW_MM, 0.10, 1)
        return {
            "bone": self.bone_mm * free,
            "soft_tissue": self.soft_mm,
            "dentine": self.dentine_mm,
            "enamel": self.enamel_mm,
        }


def draw_tissue(mouth: Mouth, x: Array, y: Array, rng: np.random.Generator) -> Tissue:
    """Draw what surrounds an implant; `x`, `y` are the (W,) and (H,) pixel positions, mm."""
    mm_per_px = float(x[1] - x[0])
    below = y[:, None] - mouth.crest_y_mm(x)[None, :]
    shadows = [tooth.shadow(x, y) for tooth in mouth.teeth]
    roots = np.maximum.reduce([shadow.outline_mm for shadow in shadows])
    return Tissue(
        _bone_mm(mouth, below, roots, x, y, rng),
        np.add.reduce([shadow.body_mm for shadow in shadows]),
        _soft_mm(mouth, below, mm_per_px, rng),
        np.add.reduce([shadow.dentine_mm for shadow in shadows]),
        np.add.reduce([shadow.enamel_mm for shadow in shadows]),
    )


def _bone_mm(
    mouth: Mouth,
    below: Array,
    roots: Array,
    x: Array,
    y: Array,
    rng: np.random.Generator,
) -> Array:
    """Path in mineral-equal cortical bone."""
    shape, mm_per_px = below.shape, float(x[1] - x[0])
    mesh = trabeculae(shape, mouth.grain_mm / mm_per_px, rng)
    slow = _noise(shape, 2.6 / mm_per_px, rng)
    thickness = np.clip(1 - 0.70 * np.exp(-np.clip(below, 0, None) / 2.2), 0, 1)
    cancellous = (JAW_MM - PLATES_MM) * np.clip(MARROW * (1 + 0.72 * mesh + 0.22 * slow), 0.03, 0.6)
    bone = (PLATES_MM * (1 + 0.08 * slow) + cancellous) * thickness
    bone += 0.8 * np.exp(-(((below - 0.22) / 0.20) ** 2))  # cortical lining of the crest
    bone = _landmark(mouth, bone, x, y, rng)
    # periodontal gap, dark, and lamina dura, bright, around every root
    gap = np.exp(-(((roots + 0.10) / 0.10) ** 2))
    lamina = np.exp(-(((roots + 0.36) / 0.13) ** 2))
    bone = bone * (1 - 0.38 * gap) + 1.5 * lamina * thickness
    return np.asarray(bone * (below > 0))


def _landmark(mouth: Mouth, bone: Array, x: Array, y: Array, rng: np.random.Generator) -> Array:
    if mouth.landmark == "none":
        return bone
    wave = 0.5 * np.sin(x / rng.uniform(4, 7) + rng.uniform(0, 6)) + 0.04 * x * rng.uniform(-1, 1)
    depth = y[:, None] - (mouth.landmark_y_mm + wave)[None, :]
    if mouth.landmark == "sinus":
        air = 1 / (1 + np.exp(-depth / 0.15))
        return np.asarray(bone * (1 - 0.55 * air) + 0.6 * np.exp(-((depth / 0.22) ** 2)))
    inside = np.clip(1 - (np.abs(depth - 1.3) / 1.3) ** 4, 0, 1)
    walls = np.exp(-((depth / 0.2) ** 2)) + np.exp(-(((depth - 2.6) / 0.2) ** 2))
    return np.asarray(bone * (1 - 0.28 * inside) + 0.25 * walls)


def _soft_mm(
    mouth: Mouth,
    below: Array,
    mm_per_px: float,
    rng: np.random.Generator,
) -> Array:
    """Gum over the crest (its edge fading) and cheek everywhere."""
    shape = below.shape
    gum = below + mouth.gum_above_crest_mm
    gum_mm = 8.5 * (1 - np.exp(-((np.clip(gum, 0, None) / 1.5) ** 1.2)))
    cheek = mouth.cheek_mm * (1 + 0.16 * _noise(shape, 6.0 / mm_per_px, rng))
    return np.asarray(gum_mm + np.clip(cheek, 1, None))


def trabeculae(shape: tuple[int, int], grain_px: float, rng: np.random.Generator) -> Array:
    """Draw a mesh of bright struts round dark marrow spaces, mean about 0, spread about 1.

    Struts follow the zero lines of band-limited noise; many layers lie over each other, as in a
    projection through a jaw, and denser patches wander through all of them.
    """
    total = np.zeros(shape)
    for scale in np.geomspace(0.62, 2.3, 6):
        field = _noise(shape, grain_px * scale, rng, stretch=float(rng.uniform(0.8, 1.7)))
        strut = np.exp(-((field / rng.uniform(0.32, 0.6)) ** 2))
        patch = 1 + 0.35 * _noise(shape, grain_px * 5, rng)
        total += scale**0.35 * patch * (strut - strut.mean())
    total += 0.26 * _noise(shape, grain_px * 1.1, rng) + 0.16 * _noise(shape, grain_px * 0.4, rng)
    return np.asarray(total / total.std())


def _noise(
    shape: tuple[int, ...], size_px: float, rng: np.random.Generator, stretch: float = 1.0
) -> Array:
    """Smooth Gaussian noise of unit spread; coarse where it is smooth, to be quick."""
    step = max(1, int(size_px / 3))
    small = (shape[0] // step + 6, shape[1] // step + 6)
    sigma = (size_px / step, size_px / step * stretch)
    field = ndimage.gaussian_filter(rng.standard_normal(small), sigma, mode="wrap")
    if step > 1:
        rows, columns = np.arange(shape[0]) / step + 2, np.arange(shape[1]) / step + 2
        field = _spline(rows, small[0]) @ field @ _spline(columns, small[1]).T
    field = field[: shape[0], : shape[1]]
    return np.asarray(field / field.std())


def _spline(at: Array, size: int) -> Array:
    """Weights of the cubic B-spline: smooth enough to leave no trace of the coarse grid."""
    whole = at.astype(int)
    share = at - whole
    out = np.zeros((len(at), size))
    for offset in (-1, 0, 1, 2):
        far = np.abs(share - offset)
        near = 2 / 3 - far**2 + far**3 / 2
        out[np.arange(len(at)), whole + offset] = np.where(far < 1, near, (2 - far) ** 3 / 6)
    return out
