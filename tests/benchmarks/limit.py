"""How close walls and pitch come to the Cramér-Rao bound, on ideal films.

    python tests/benchmarks/limit.py [DRAWS]

A wall: the analytic shadow of a cylinder (path 2·√(R² − u²), Beer-Lambert, Gaussian blur) with
white noise, averaged over rows; the bound leaves blur, attenuation, the film's window (gain and
level) and the background's slope unknown, as the measuring has to. A pitch: a strip whose two soft
walls run in and out in two harmonics from platform to apex, ground above and below, read as the
product reads it (walls, search, all columns); every amplitude, phase and trend, blur, gain and
level unknown. The bound is the inverse of the Fisher information of exactly that film (S. M. Kay,
Fundamentals of Statistical Signal Processing: Estimation Theory, 1993, chapter 3: from memory).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from scipy import ndimage, special

from features.edges import fit_chord_edge
from features.outline import find_walls
from features.pitch import refine_pitch
from features.strip import Axis, Strip
from features.thread_search import search_thread

FINE = 0.02  # px, of the analytic profile
ROWS = 40  # averaged
NOISE = 0.01  # of one pixel, grey
PITCH_IN_WIDTHS = 0.2
BEYOND = 10.0  # px of ground beyond platform and apex: a thread ends with its body


def main() -> None:
    draws = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    print(f"{'':34} {'bound':>9} {'RMSE':>9} {'bias':>9} {'ratio':>6}   ({draws} draws)")
    for radius in (50.0, 70.0, 100.0):
        for blur in (1.0, 1.5, 2.0):
            wall_row(radius, blur, draws)
    for turns in (5.0, 7.6, 12.0):
        for pitch in (16.0, 27.0):
            pitch_row(pitch, turns, draws)


def show(name: str, bound: float, errors: np.ndarray, unit: str) -> None:
    found = errors[np.isfinite(errors)]
    if not len(found):
        print(f"{name:34} {bound:9.4f}   never found")
        return
    rmse = float(np.sqrt(np.mean(found**2)))
    missed = f", {len(errors) - len(found)} not found" if len(found) < len(errors) else ""
    print(
        f"{name:34} {bound:9.4f} {rmse:9.4f} {found.mean():+9.4f} {rmse / bound:6.2f}   "
        f"{unit}{missed}"
    )


def bound_of(model: Callable[[np.ndarray], np.ndarray], at: np.ndarray, noise: float) -> float:
    """Least standard deviation of the first parameter, the others unknown."""
    slopes = []
    for index in range(len(at)):
        step = np.zeros(len(at))
        step[index] = 1e-3 * max(abs(at[index]), 0.05)
        slopes.append((model(at + step) - model(at - step)) / (2 * step[index]))
    design = np.array(slopes).T
    return float(noise * np.sqrt(np.linalg.inv(design.T @ design)[0, 0]))


def cylinder(params: np.ndarray) -> np.ndarray:
    """Grey at depths -10 … 10 px, params: edge, blur, mu · px, gain, level, slope, R."""
    edge, blur, mu, gain, level, slope, radius = params
    inside = np.arange(-24, 24, FINE)
    path = 2 * np.sqrt(np.maximum(radius**2 - (radius - inside) ** 2, 0.0))
    seen = ndimage.gaussian_filter1d(1 - np.exp(-mu * path), blur / FINE)
    depth = np.arange(-10.0, 10.5)
    return np.asarray(level + gain * np.interp(depth + edge, inside, seen) + slope * depth)


def wall_row(radius: float, blur: float, draws: int) -> None:
    true = np.array([0.3, blur, 0.0165, 0.4, 0.6, 0.0])
    noise = NOISE / np.sqrt(ROWS)
    bound = bound_of(lambda p: cylinder(np.append(p, radius)), true, noise)
    film = cylinder(np.append(true, radius))
    rng = np.random.default_rng(1)
    errors = []
    for _ in range(draws):
        grey = film + noise * rng.standard_normal(film.shape)
        found = fit_chord_edge(np.arange(-10.0, 10.5), grey).offset_px
        errors.append(found.value - true[0] if found else np.nan)
    show(f"wall, R {radius:.0f} px, blur {blur:.1f} px", bound, np.array(errors), "px")


def threaded(params: np.ndarray, z: np.ndarray, t: np.ndarray) -> np.ndarray:
    """Grey of a strip. params: pitch, blur, gain, level, then of each wall its mean, trend, waves.

    Waves are cos, sin, cos 2, sin 2, in px.
    """
    pitch, blur, gain, level = params[:4]
    turns = 2 * np.pi * z / pitch
    shapes = [np.ones_like(z), (z - z.mean()) / np.ptp(z)]
    shapes += [np.cos(turns), np.sin(turns), np.cos(2 * turns), np.sin(2 * turns)]
    left, right = params[4:].reshape(2, -1) @ np.array(shapes)
    depth = np.where(t < 0, left[:, None] + t, right[:, None] - t)
    return np.asarray(level + gain * special.ndtr(depth / blur))


def pitch_row(pitch: float, turns: float, draws: int) -> None:
    length, half = turns * pitch, pitch / PITCH_IN_WIDTHS / 2
    z, t = np.arange(-BEYOND, length + BEYOND), np.arange(-2.0 * half, 2.0 * half + 1)
    body = (z >= 0) & (z <= length)
    left, right = ([half, 0.0, sign * 1.5, 0.6, 0.4, 0.0] for sign in (1, -1))
    true = np.array([pitch, 1.5, 0.5, 0.3, *left, *right])
    bound = bound_of(lambda p: threaded(p, z[body], t).ravel(), true, NOISE)
    film = np.full((len(z), len(t)), true[3])
    film[body] = threaded(true, z[body], t)
    rng = np.random.default_rng(2)
    errors = []
    for _ in range(draws):
        grey = film + NOISE * rng.standard_normal(film.shape)
        strip = Strip(grey, np.ones(grey.shape, bool), z, t, Axis((0.0, 0.0), 0.0, length))
        walls = find_walls(strip, half)
        found = refine_pitch(strip, walls, search_thread(strip, walls)).pitch_px
        errors.append(found.value - pitch if found else np.nan)
    show(f"pitch {pitch:.0f} px, {turns} turns", bound, np.array(errors), "px")


if __name__ == "__main__":
    main()
