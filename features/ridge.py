"""One turn of a thread at the wall, as a film shows it.

A ray that passes a little inside the rim runs through the crest's whole width in depth, and a
thread is not level there: a helix climbs as it goes round, and a tilted beam climbs through it.
So metal of the turn's neighbours fills the root and the crest's tip thins out. With y along the
ray, the rim's radius R and the thread moving by `shear` turns per √px of y/√(2R), the path at
depth d is √(2R) times the part of v = y/√(2R) where d + edge(z + shear·v) > v² (derived from the
chord of a circle near its rim).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

PHASES = 16  # rows of the mean turn: finer than the blur
GRID_PX = 0.5  # across, for the model; the blur is a pixel or more
CHORDS = 40  # places along the ray, over both halves
NUDGE = 1e-4 * np.array([10.0, 10, 5, 1, 1, 1, 0.1, 1, 1, 1])  # of each parameter, for its slope


def ridge_model(params: Floats, depth_px: Floats, pitch_px: float, shear: float = 0.0) -> Floats:
    """The mean turn as a film would show it, (PHASES, D); or of several at once, (N, PHASES, D).

    `params`, (10,) or (N, 10) of one blur: root, depth (px, outward), blur (px), A, k, c0, c1, flat
    part of the crest, of the root, phase of the crest (turns). `shear` in turns per √px.
    """
    many = params.reshape(-1, 10)
    metal, k, c0, c1 = many.T[3:7, :, None, None]
    blur = float(many[0, 2])
    grid = np.arange(depth_px[0] - 3 * blur, depth_px[-1] + 3 * blur + GRID_PX, GRID_PX)
    grey = -np.expm1(-k * _paths(many, grid, shear))
    along = _blurred_rows(
        np.arange(PHASES, dtype=np.float64), PHASES, blur / pitch_px * PHASES, wrap=True
    )
    across = _blurred_rows((depth_px - grid[0]) / GRID_PX, len(grid), blur / GRID_PX)
    grey = metal * (along @ (grey @ across.T))
    out = np.asarray(grey + c0 + c1 * depth_px)
    return out if params.ndim > 1 else out[0]


def _blurred_rows(places: Floats, size: int, sigma: float, *, wrap: bool = False) -> Floats:
    """Weights of a line's samples in its Gaussian blur, read between them, (len(places), size).

    A matrix, as one blur serves hundreds of lines: much quicker than to filter each of them.
    """
    reach = int(3.0 * sigma + 0.5)
    steps = np.arange(-reach, reach + 1)
    kernel = np.exp(-0.5 * (steps / sigma) ** 2) if reach else np.ones(1)
    kernel /= kernel.sum()
    low = np.floor(places).astype(int)
    low = low if wrap else np.clip(low, 0, size - 2)
    part = (places - low)[:, None]
    weights = (1 - part) * np.append(kernel, 0.0) + part * np.append(0.0, kernel)
    sample = low[:, None] + np.arange(-reach, reach + 2)
    sample = sample % size if wrap else np.clip(sample, 0, size - 1)
    slots = (sample + size * np.arange(len(places))[:, None]).ravel()
    flat = np.bincount(slots, weights.ravel(), len(places) * size)
    return np.asarray(flat.reshape(len(places), size))


def _edge(params: Floats, turns: Floats) -> Floats:
    """How far outward the turn's outline stands at places along it, (N, *turns.shape)."""
    column = (slice(None), *(None,) * turns.ndim)
    root, height, crest, foot, phase = (params[:, i][column] for i in (0, 1, 7, 8, 9))
    off = np.abs((turns - phase + 0.5) % 1.0 - 0.5)  # 0 crest, 0.5 root
    flank = np.maximum(0.5 - crest / 2 - foot / 2, 0.02)
    return np.asarray(root + height * np.clip((0.5 - foot / 2 - off) / flank, 0.0, 1.0))


def _paths(params: Floats, grid: Floats, shear: float) -> Floats:
    """Metal along the rays, (N, PHASES, len(grid)), in √px."""
    turns = np.arange(PHASES) / PHASES
    if shear < 1e-6:
        return np.sqrt(np.maximum(grid + _edge(params, turns)[..., None], 0.0))
    farthest = float(np.sqrt(np.max(grid[-1] + params[:, 0] + params[:, 1])))
    v = farthest * ((np.arange(CHORDS) + 0.5) / CHORDS * 2 - 1)
    starts = v**2 - _edge(params, turns[:, None] + shear * v)  # where each chord's metal begins
    return _counted(starts, grid) * (farthest / CHORDS)


def _counted(starts: Floats, grid: Floats) -> Floats:
    """How many of the starts lie above each depth: (N, PHASES, CHORDS) to (N, PHASES, D)."""
    place = np.clip((starts - grid[0]) / GRID_PX + 0.5, 0.0, len(grid))
    low = np.floor(place).astype(int)
    width = len(grid) + 2
    rows = np.arange(starts.shape[0] * starts.shape[1]).reshape(starts.shape[:2])[..., None]
    slots, size = (rows * width + low).ravel(), rows.size * width
    part = (place - low).ravel()
    counts = np.bincount(slots, 1 - part, size) + np.bincount(slots + 1, part, size)
    return np.asarray(counts.reshape(*starts.shape[:2], width).cumsum(axis=-1)[..., : len(grid)])


def ridge_slopes(params: Floats, depth_px: Floats, pitch_px: float, shear: float = 0.0) -> Floats:
    """(PHASES · D, 10) slopes of `ridge_model` by differences, all but the blur's in one go."""
    bent = params + np.diag(NUDGE)
    blurred = ridge_model(bent[2], depth_px, pitch_px, shear)
    bent[2] = params
    models = ridge_model(bent, depth_px, pitch_px, shear)
    here, models[2] = models[2].copy(), blurred
    return np.asarray(((models - here).reshape(10, -1) / NUDGE[:, None]).T)
