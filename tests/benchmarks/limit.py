"""How close walls and pitch come to the Cramér-Rao bound, on ideal films.

    python tests/benchmarks/limit.py [DRAWS]

A wall: the analytic shadow of a cylinder (path 2·√(R² − u²), Beer-Lambert, Gaussian blur) with
white noise, averaged over rows; the bound leaves blur, attenuation, the film's window (gain and
level) and the background's slope unknown, as the measuring has to. A pitch: two harmonic combs,
every amplitude, phase and a trend unknown. The bound is the inverse of the Fisher information of
exactly that film (S. M. Kay, Fundamentals of Statistical Signal Processing: Estimation Theory,
1993, chapter 3: from memory).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from scipy import ndimage

from features.edges import fit_chord_edge
from features.threads import Comb, find_thread

FINE = 0.02  # px, of the analytic profile
ROWS = 40  # averaged
NOISE = 0.01  # of one pixel, grey


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
    rmse = float(np.sqrt(np.mean(errors**2)))
    print(f"{name:34} {bound:9.4f} {rmse:9.4f} {errors.mean():+9.4f} {rmse / bound:6.2f}   {unit}")


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


def waves(params: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Both walls; params: pitch, then for each wall cos, sin, cos 2, sin 2, level, trend."""
    turns = 2 * np.pi * z / params[0]
    design = [np.cos(turns), np.sin(turns), np.cos(2 * turns), np.sin(2 * turns)]
    design += [np.ones_like(z), (z - z.mean()) / np.ptp(z)]
    return np.concatenate([np.array(design).T @ wall for wall in params[1:].reshape(2, -1)])


def pitch_row(pitch: float, turns: float, draws: int) -> None:
    z = np.arange(0.0, turns * pitch + 0.5)
    walls = [0.04, 0.02, 0.012, 0.0, 0.0, 0.0], [-0.04, -0.02, 0.012, 0.0, 0.0, 0.0]
    true = np.concatenate([[pitch], *walls])
    bound = bound_of(lambda p: waves(p, z), true, NOISE)
    film = waves(true, z).reshape(2, -1)
    rng = np.random.default_rng(2)
    errors = []
    for _ in range(draws):
        left, right = film + NOISE * rng.standard_normal(film.shape)
        found = find_thread(Comb(z, left, right), width_px=pitch / 0.2).pitch_px
        errors.append(found.value - pitch if found else np.nan)
    show(f"pitch {pitch:.0f} px, {turns} turns", bound, np.array(errors), "px")


if __name__ == "__main__":
    main()
