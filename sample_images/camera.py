"""Tube, receptor and software of one film, and how they are drawn for each level of difficulty.

Ranges are invented within what is common, unless a line says where they come from.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from sample_images.spectrum import Beam, few_energies, tube_voltages

LEVELS = ("clean", "clinical", "hard")
# 1.5 mm of aluminium is the least at 70 kV (from memory); 2.0 keeps 60 kV above the least
# half-value layer of 1.5 mm as well, see the tests
FILTRATION_MM = (2.0, 2.5)
# nominal 0.4 to 0.8 mm are common for dental tubes (from memory)
FOCAL_SPOT_MM = {"clean": (0.4, 0.4), "clinical": (0.4, 0.7), "hard": (0.7, 0.8)}
# standard deviation of the receptor's point spread: at 0.025 mm a pixel, 1 px passes 20 % at
# 11 line pairs a mm
BLUR_PX = {"clean": (0.6, 0.9), "clinical": (0.8, 1.4), "hard": (1.1, 1.9)}
SCATTER = {"clean": (0.0, 0.0), "clinical": (0.02, 0.06), "hard": (0.05, 0.12)}
# derived: some 27 000 photons a mm2 for 1 uGy (from memory), 50 to 400 uGy behind the patient,
# pixels of 0.02 to 0.025 mm, half of them absorbed
PHOTONS = {"clean": (40000.0, 40000.0), "clinical": (900.0, 3000.0), "hard": (400.0, 1000.0)}
ELECTRONIC = {"clean": 2.0, "clinical": 4.0, "hard": 6.0}
WHITE = {"clean": (0.0, 0.0), "clinical": (0.002, 0.002), "hard": (0.01, 0.05)}
SHARPENED = {"clean": 0.0, "clinical": 0.5, "hard": 0.6}  # share of films with a halo
SHARPENING = {"clean": (0.0, 0.0), "clinical": (0.3, 1.0), "hard": (0.5, 1.5)}
SHARPENING_PX = (1.0, 2.5)
BITS = {"clean": (16,), "clinical": (8, 12, 16), "hard": (8, 8, 12)}
JPEG_QUALITY = (60, 85)
TONES = ("linear", "log", "gamma")
TONE_GAMMA = {"linear": (1.0, 1.0), "log": (0.6, 0.8), "gamma": (0.65, 1.3)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """How a film was exposed, and how receptor and software turned intensity into grey.

    Attributes
    ----------
    kvp : int
        Peak voltage of the tube, kV.
    filtration_mm : float
        Total filtration, mm of aluminium.
    focal_spot_mm : float
        Width of the focal spot.
    blur_px : float
        Standard deviation of the receptor's point spread.
    scatter : float
        Share of scattered radiation, spread over millimetres.
    photons : float
        Quanta counted by a pixel in the open beam; sets the quantum noise, 0 = no noise at all.
    electronic : float
        Electronic noise, in quanta.
    tone : str
        "linear", "log" or "gamma".
    gamma : float
        Exponent applied after that (1 for linear).
    white : float
        Share of the film clipped to white.
    sharpening : float
        How much of the film's fine detail the software adds once more; 0 = none, no halo.
    sharpening_px : float
        Standard deviation of the blur that tells fine from coarse.
    bits : int
        Grey levels stored: 8, 12 or 16 bits.
    jpeg : int
        Quality of a JPEG squeeze, 0 = none.
    """

    kvp: int = 65
    filtration_mm: float = 2.0
    focal_spot_mm: float = 0.0
    blur_px: float = 0.0
    scatter: float = 0.0
    photons: float = 0.0
    electronic: float = 0.0
    tone: str = "linear"
    gamma: float = 1.0
    white: float = 0.0
    sharpening: float = 0.0
    sharpening_px: float = 1.5
    bits: int = 16
    jpeg: int = 0

    def beam(self) -> Beam:
        """Return the beam the film was exposed with."""
        return few_energies(self.kvp, self.filtration_mm)

    def to_json(self) -> dict[str, Any]:
        """For the truth file."""
        return asdict(self)


def draw_camera(level: str, rng: np.random.Generator) -> Camera:
    """Draw tube, receptor and their settings for one level of difficulty."""
    hard, clean = level == "hard", level == "clean"
    tone = "linear" if clean else _one_of(rng, TONES)
    sharpened = rng.random() < SHARPENED[level]
    return Camera(
        kvp=_one_of(rng, tube_voltages()),
        filtration_mm=_one_of(rng, FILTRATION_MM),
        focal_spot_mm=_between(rng, FOCAL_SPOT_MM[level]),
        blur_px=_between(rng, BLUR_PX[level]),
        scatter=_between(rng, SCATTER[level]),
        photons=_between(rng, PHOTONS[level]),
        electronic=ELECTRONIC[level],
        tone=tone,
        gamma=_between(rng, TONE_GAMMA[tone]),
        white=_between(rng, WHITE[level]),
        sharpening=_between(rng, SHARPENING[level]) if sharpened else 0.0,
        sharpening_px=_between(rng, SHARPENING_PX),
        bits=_one_of(rng, BITS[level]),
        jpeg=int(_between(rng, JPEG_QUALITY)) if hard else 0,
    )


def _between(rng: np.random.Generator, ends: tuple[float, float]) -> float:
    return float(rng.uniform(*ends))


def _one_of(rng: np.random.Generator, options: tuple[Any, ...]) -> Any:
    return options[int(rng.integers(len(options)))]
