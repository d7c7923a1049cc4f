"""Crest and root of a thread from one mean turn, so that blur does not eat the crest's tip.

All turns in the zone are laid over each other (one pitch tall); a ridge model is blurred like the
film and fitted to that mean picture. A crest is a thin ridge: averaging rows and looking for an
edge reads it too narrow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, optimize

from features.edges import CLIPPED
from features.quantity import NotMeasured, Quantity, from_parts
from features.strip import Strip

Floats = NDArray[np.float64]

PHASES = 16  # rows of the mean turn: finer than the blur
GRID_PX = 0.5  # across, for the model; the blur is a pixel or more
NUDGE = 1e-4 * np.array([10.0, 10, 5, 1, 1, 1, 0.1, 1, 1, 1])  # of each parameter, for its slope


@dataclass(frozen=True, slots=True)
class Cell:
    """One wall's thread.

    Attributes
    ----------
    crest_px, root_px : Measured in px, or NotMeasured
        Outward from the smooth line the turns were laid along.
    blur_px : float
    """

    crest_px: Quantity
    root_px: Quantity
    blur_px: float


def fold(
    strip: Strip, z_px: Floats, line_px: Floats, *, side: float, pitch_px: float, reach_px: float
) -> tuple[Floats, Floats]:
    """Lay all turns over each other.

    Parameters
    ----------
    strip : Strip
    z_px, line_px : (N,) arrays
        Rows of the zone and the smooth wall line there (distance from the axis).
    side : {-1.0, 1.0}
        Left or right.
    pitch_px, reach_px : float
        Height of a turn; how far to look to either side of the line.

    Returns
    -------
    cell : (PHASES, D) array
        Mean grey, NaN-free.
    depth_px : (D,) array
        Inward from the line.
    """
    depth = np.arange(-reach_px, reach_px + 1e-9, max(strip.step_px, reach_px / 18))
    grey = strip.at(
        np.broadcast_to(z_px[:, None], (len(z_px), len(depth))),
        side * (line_px[:, None] - depth[None, :]),
    )
    place = (z_px / pitch_px % 1.0) * PHASES
    low = np.floor(place).astype(int) % PHASES
    share = place - np.floor(place)
    cell = np.zeros((PHASES, len(depth)))
    weight = np.zeros(PHASES)
    for row, part in ((low, 1 - share), ((low + 1) % PHASES, share)):
        np.add.at(cell, row, part[:, None] * grey)
        np.add.at(weight, row, part)
    return cell / np.maximum(weight, 1e-9)[:, None], depth


def ridge_model(params: Floats, depth_px: Floats, pitch_px: float) -> Floats:
    """The mean turn as a film would show it, (PHASES, D); or of several at once, (N, PHASES, D).

    `params`, (10,) or (N, 10) of one blur: root, depth (px, outward), blur (px), A, k, c0, c1, flat
    part of the crest, of the root, phase of the crest (turns).
    """
    root, height, _, metal, k, c0, c1, crest, foot, phase = params.T[..., None]
    blur = float(params.reshape(-1, 10)[0, 2])
    grid = np.arange(depth_px[0] - 3 * blur, depth_px[-1] + 3 * blur + GRID_PX, GRID_PX)
    turn = np.abs((np.arange(PHASES) / PHASES - phase + 0.5) % 1.0 - 0.5)  # 0 crest, 0.5 root
    flank = np.maximum(0.5 - crest / 2 - foot / 2, 0.02)
    edge = root + height * np.clip((0.5 - foot / 2 - turn) / flank, 0.0, 1.0)
    inside = np.sqrt(np.maximum(grid + edge[..., None], 0.0))
    grey = -np.expm1(-k[..., None] * inside)
    for axis, sigma, mode in (
        (-2, blur / pitch_px * PHASES, "wrap"),
        (-1, blur / GRID_PX, "nearest"),
    ):
        grey = ndimage.gaussian_filter1d(grey, sigma, axis=axis, mode=mode, truncate=3.0)
    place = (depth_px - grid[0]) / GRID_PX
    low = np.clip(np.floor(place).astype(int), 0, len(grid) - 2)
    part = place - low
    grey = metal[..., None] * (grey[..., low] * (1 - part) + grey[..., low + 1] * part)
    return np.asarray(grey + c0[..., None] + c1[..., None] * depth_px)


def _slopes(params: Floats, depth_px: Floats, pitch_px: float) -> Floats:
    """(PHASES · D, 10) slopes of `ridge_model` by differences, all but the blur's in one go."""
    bent = params + np.diag(NUDGE)
    blurred = ridge_model(bent[2], depth_px, pitch_px)
    bent[2] = params
    models = ridge_model(bent, depth_px, pitch_px)
    here, models[2] = models[2].copy(), blurred
    return np.asarray(((models - here).reshape(10, -1) / NUDGE[:, None]).T)


def fit_cell(
    cell: Floats, depth_px: Floats, *, pitch_px: float, phase: float, start_blur_px: float = 1.5
) -> Cell:
    """Fit the ridge model to a mean turn.

    Parameters
    ----------
    cell, depth_px
        From `fold`.
    phase : float
        Where the crest lies, in turns.
    """
    usable = cell < CLIPPED
    span = float(np.ptp(cell))
    if span < 0.03 or usable.mean() < 0.5:
        reason = "the thread is burnt out or too faint to measure"
        return Cell(NotMeasured(reason), NotMeasured(reason), start_blur_px)
    reach = float(depth_px[-1])
    start = [-0.15 * reach, 0.4 * reach, start_blur_px, span, 0.3, float(np.percentile(cell, 5))]
    start += [0.0, 0.15, 0.15, phase]
    low = [-reach, 0.02 * reach, 0.4, 0.0, 0.01, -1.0, -0.05, 0.0, 0.0, phase - 0.25]
    high = [reach, 1.4 * reach, 0.45 * reach + 0.5, 20.0, 2.0, 2.0, 0.05, 0.6, 0.6, phase + 0.25]
    fit = optimize.least_squares(
        lambda p: (ridge_model(p, depth_px, pitch_px) - cell)[usable],
        np.clip(start, np.add(low, 1e-6), np.subtract(high, 1e-6)),
        jac=lambda p: _slopes(p, depth_px, pitch_px)[usable.ravel()],
        bounds=(low, high),
        x_scale=[1, 1, 0.5, 0.3, 0.2, 0.1, 0.005, 0.1, 0.1, 0.05],
        max_nfev=25,
    )
    return _as_cell(fit, int(usable.sum()), np.subtract(high, low))


def _as_cell(fit: optimize.OptimizeResult, samples: int, ranges: Floats) -> Cell:
    variance = 4 * 2 * fit.cost / max(samples - 10, 1)  # neighbouring samples are correlated
    # A shape the film does not settle is known no better than its range: a weak prior.
    information = fit.jac.T @ fit.jac / max(variance, 1e-12) + np.diag(12 / ranges**2)
    covariance = np.linalg.inv(information)
    root, height, blur = (float(v) for v in fit.x[:3])
    std_root = float(np.sqrt(max(covariance[0, 0], 0.0)))
    both = covariance[0, 0] + covariance[1, 1] + 2 * covariance[0, 1]
    std_crest = float(np.sqrt(max(both, 0.0)))
    floor = 0.25 * blur + 0.2  # a helix is not quite a ring, a tilted one less so (simulated)
    return Cell(
        from_parts(root + height, "px", edge=std_crest, thread_shape=floor),
        from_parts(root, "px", edge=std_root, thread_shape=floor),
        blur,
    )
