"""Bare solids on a plain ground, for testing the measuring code against known shapes."""

from __future__ import annotations

from typing import Any

import numpy as np

from sample_images.arrays import Array
from sample_images.camera import Camera
from sample_images.imaging import LOG_FLOOR, Received, add_noise, blurred
from sample_images.rays import Part, View, cast
from sample_images.solids import Profile, Thread, revolved
from sample_images.spectrum import monochromatic

TONES = ("linear", "log", "gamma")
MARGIN_MM = 1.5
ISO_ROOT_FLAT = 1 / 6  # with a crest flat of P/8 and 60 deg flanks, ISO 68-1 leaves P/6 at d3


def bare_film(  # noqa: PLR0913 - every knob is one physical thing and has a plain default
    outer: Profile,
    threads: tuple[Thread, ...] = (),
    *,
    mm_per_px: float = 0.025,
    turn_deg: float = 0.0,
    tilt_deg: float = 0.0,
    blur_px: float = 0.0,
    photons: float = 0.0,
    tone: str = "linear",
    gamma: float = 1.0,
    background: float = 0.4,
    energy_kev: float = 45.0,
    offset_px: tuple[float, float] = (0.0, 0.0),
    seed: int = 0,
) -> tuple[Array, dict[str, Any]]:
    """Film one titanium body of revolution, threaded or not, with nothing around it.

    Parameters
    ----------
    outer : Profile
        Envelope radius (over the crests) along the axis, mm.
    threads : tuple of Thread
        Cut below the envelope.
    turn_deg, tilt_deg : float
        As in `rays.View`.
    blur_px : float
        Standard deviation of the point spread.
    photons : float
        Quanta a pixel counts in the open beam; 0 = no noise.
    tone : str
        "linear", "log" or "gamma" (linear, then raised to `gamma`).
    background : float
        Transmission of what lies around and in front of the body.
    offset_px : (x, y)
        Moves the body by parts of a pixel.

    Returns
    -------
    pixels : (H, W) float array in 0-1, bright = radiopaque
    truth : dict
        ``platform``, ``apex`` (points, px), ``mm_per_px``, and ``transmission`` without noise.
    """
    if tone not in TONES:
        raise ValueError(f"'tone' must be one of {', '.join(TONES)} (got '{tone}').")
    field = revolved(outer, threads)
    reach = max(outer.value) + 0.005
    part = Part(
        lambda rays: (field(rays),),
        ("titanium",),
        reach,
        outer.top_mm,
        outer.end_mm,
        samples=160,
    )
    view = _view(outer, reach, mm_per_px, turn_deg, tilt_deg, offset_px)
    shadow = cast((part,), view, monochromatic(energy_kev))
    signal = background * shadow.transmission.astype(float)
    camera = Camera(blur_px=blur_px, photons=photons, electronic=2.0)
    seen = Received(blurred(signal, blur_px), signal)
    pixels = _grey(add_noise(seen, camera, np.random.default_rng(seed)), tone, gamma)
    rim = float(outer(outer.top_mm))
    truth = {
        "platform": [view.to_film(-rim, outer.top_mm), view.to_film(rim, outer.top_mm)],
        "apex": view.to_film(0.0, outer.end_mm),
        "mm_per_px": mm_per_px,
        "transmission": signal,
    }
    return pixels, truth


def plain_cylinder(radius_mm: float, length_mm: float) -> Profile:
    """Envelope of a smooth rod."""
    return Profile((0.0, length_mm), (radius_mm, radius_mm))


def iso_thread(major_mm: float, pitch_mm: float, length_mm: float) -> tuple[Profile, Thread]:
    """Cut an external ISO 68-1 thread, down to d3 = d - 1.226869 P, along the whole length."""
    depth = 1.226869 * pitch_mm / 2
    cut = Profile((0.0, length_mm), (depth, depth))
    return plain_cylinder(major_mm / 2, length_mm), Thread(pitch_mm, 1, 1 / 8, ISO_ROOT_FLAT, cut)


def _view(
    outer: Profile,
    reach: float,
    mm_per_px: float,
    turn_deg: float,
    tilt_deg: float,
    offset_px: tuple[float, float],
) -> View:
    """Lay out a film just large enough, whatever the turn."""
    swing = (outer.end_mm - outer.top_mm) * abs(np.sin(np.radians(turn_deg))) + MARGIN_MM
    width = int(np.ceil(2 * (reach + swing) / mm_per_px))
    height = int(np.ceil((outer.end_mm - outer.top_mm + 2 * (MARGIN_MM + reach * 0.5)) / mm_per_px))
    x = (width - 1) / 2 + offset_px[0]
    y = (MARGIN_MM + reach * 0.5 - outer.top_mm) / mm_per_px + offset_px[1]
    return View(mm_per_px, (x, y), turn_deg, tilt_deg, (height, width))


def _grey(signal: Array, tone: str, gamma: float) -> Array:
    """Use a fixed window, so that two tones of one body differ by the tone alone."""
    if tone == "log":
        return np.asarray(
            np.clip(np.log(np.clip(signal, LOG_FLOOR / 20, None)) / np.log(LOG_FLOOR / 20), 0, 1)
        )
    linear = np.clip(1 - signal, 0, 1)
    return linear**gamma if tone == "gamma" else linear
