"""One turn of a thread at the wall, as a film shows it.

A ray that passes a little inside the rim runs through the crest's whole width in depth, and a
thread is not level there: a helix climbs as it goes round, and a tilted beam climbs through it.
So metal of the turn's neighbours fills the root and the crest's tip thins out. With y along the
ray, the rim's radius R and the thread moving by `shear` turns per √px of y/√(2R), the path at
depth d is √(2R) times the part of v = y/√(2R) where d + edge(z + shear·v) > v² (derived from the
chord of a circle near its rim).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

PHASES = 16  # rows of the mean turn: finer than the blur
SHARED = 6**-0.5  # rows: blur of a fold, which shares each sample between two of them (derived)
GRID_PX = 0.5  # across, for the model; the blur is a pixel or more
CHORDS = 20  # places along either half of a ray that just reaches the model's depth
EDGES = 6  # of the parameters move the turn's outline


@dataclass(frozen=True, slots=True, eq=False)
class Turn:
    """A turn's outline and the metal's strength.

    Attributes
    ----------
    root_px, height_px : float
        Outward of the root, and of the crest over it.
    crest, foot : float
        Flat part of the crest and of the root, in turns.
    phase : float
        Of the crest, in turns.
    lean : float
        The apical flank's part of both flanks: a half where they are alike, less or more of a
        buttress thread.
    k : float
        Of Beer-Lambert's law along a chord, per √px.
    blur_px : float
    """

    root_px: float
    height_px: float
    crest: float
    foot: float
    phase: float
    lean: float
    k: float
    blur_px: float


def ridge_shape(
    turn: Turn, depth_px: Floats, *, pitch_px: float, shear: float = 0.0
) -> tuple[Floats, Floats]:
    """The mean turn as a film would show it, 0 to 1, and its slopes by the turn's parameters.

    Parameters
    ----------
    turn : Turn
    depth_px : (D,) array
        Inward.
    pitch_px : float
    shear : float
        Turns per √px.

    Returns
    -------
    shape : (PHASES, D) array
    slopes : (8, PHASES, D) array
    """
    blur = turn.blur_px
    first, last = ((depth_px[0] - 4 * blur) // GRID_PX, (depth_px[-1] + 4 * blur) // GRID_PX)
    grid = GRID_PX * np.arange(first, last + 2)  # the same places whatever the blur
    path, by_edge = _level(turn, grid) if shear < 1e-6 else _climbing(turn, grid, shear)
    through = np.exp(-turn.k * path)
    grey = np.concatenate([1 - through[None], turn.k * through * by_edge, [through * path]])
    rows = np.arange(PHASES, dtype=np.float64)
    level, each = blur / pitch_px * PHASES, PHASES / pitch_px
    sigma = float(np.hypot(level, SHARED))
    along, along_wider = _blurred_rows(rows, PHASES, sigma, wrap=True)
    across, across_wider = _blurred_rows((depth_px - grid[0]) / GRID_PX, len(grid), blur / GRID_PX)
    half = grey @ across.T
    blurred = along @ half
    wider = along @ (grey[0] @ across_wider.T) / GRID_PX
    wider += along_wider @ half[0] * (each * level / sigma)
    return blurred[0], np.concatenate([blurred[1:], wider[None]])


def _blurred_rows(
    places: Floats, size: int, sigma: float, *, wrap: bool = False
) -> tuple[Floats, Floats]:
    """Weights of a line's samples in its Gaussian blur, and their slopes by sigma.

    Both (len(places), size), read between the samples: a matrix, as one blur serves all lines.
    """
    reach = int(4.0 * sigma + 0.5)
    steps = np.arange(-reach, reach + 1)
    kernel = np.exp(-0.5 * (steps / sigma) ** 2) if reach else np.ones(1)
    kernel /= kernel.sum()
    wider = kernel * (steps**2 - kernel @ steps**2) / sigma**3
    low = np.floor(places).astype(int)
    low = low if wrap else np.clip(low, 0, size - 2)
    sample = low[:, None] + np.arange(-reach, reach + 2)
    sample = sample % size if wrap else np.clip(sample, 0, size - 1)
    slots = (sample + size * np.arange(len(places))[:, None]).ravel()
    part = (places - low)[:, None]

    def matrix(line: Floats) -> Floats:
        weights = (1 - part) * np.append(line, 0.0) + part * np.append(0.0, line)
        flat = np.bincount(slots, weights.ravel(), len(places) * size)
        return np.asarray(flat.reshape(-1, size), np.float64)

    return matrix(kernel), matrix(wider)


def _edge(turn: Turn, turns: Floats) -> tuple[Floats, Floats]:
    """How far outward the outline stands at places along it, and the slopes, (EDGES, …)."""
    flanks = max(1 - turn.crest - turn.foot, 0.04)
    coronal = turn.crest / 2 + (1 - turn.lean) * flanks + turn.foot / 2
    from_crest = (turns - turn.phase + coronal) % 1.0 - coronal  # the root lies at either end
    apical = from_crest > 0
    share = np.where(apical, turn.lean, 1 - turn.lean)
    fall = (np.abs(from_crest) - turn.crest / 2) / (share * flanks)
    down = np.minimum(np.maximum(fall, 0.0), 1.0)
    steep = turn.height_px * ((fall > 0) & (fall < 1)) / flanks
    sign = np.where(apical, 1.0, -1.0)
    slopes = np.empty((EDGES, *turns.shape))
    slopes[0], slopes[1] = 1.0, 1 - down
    slopes[2], slopes[3] = steep * (0.5 / share - down), -steep * down
    slopes[4], slopes[5] = steep * sign / share, steep * flanks * down * sign / share
    return turn.root_px + turn.height_px * (1 - down), slopes


def _level(turn: Turn, grid: Floats) -> tuple[Floats, Floats]:
    """Metal along the rays of rings seen square, (PHASES, G), in √px, and its slopes."""
    edge, slopes = _edge(turn, np.arange(PHASES) / PHASES)
    inside = grid + edge[:, None] + GRID_PX * np.array([-0.5, 0.5])[:, None, None]
    near, far = np.sqrt(np.maximum(inside, 0.0))  # the mean path between two such ends
    steep = (far - near) / GRID_PX
    return (far**3 - near**3) / (1.5 * GRID_PX), slopes[..., None] * steep


def _climbing(turn: Turn, grid: Floats, shear: float) -> tuple[Floats, Floats]:
    """The same where the turn climbs along the rays: the chords whose metal has begun, counted."""
    farthest = float(np.sqrt(grid[-1] + turn.root_px + turn.height_px))
    each = float(np.sqrt(2 * grid[-1])) / CHORDS
    v = each * (np.arange(-(farthest // each) - 1, farthest // each + 1) + 0.5)
    edge, slopes = _edge(turn, np.arange(PHASES)[:, None] / PHASES + shear * v)
    starts = v**2 - edge  # where each chord's metal begins
    place = np.minimum(np.maximum((starts - grid[0]) / GRID_PX + 0.5, 0.0), float(len(grid)))
    low = place.astype(int)
    width = len(grid) + 2
    slots, size = (low + width * np.arange(PHASES)[:, None]).ravel(), PHASES * width
    part = (place - low).ravel()
    counts = np.bincount(slots, 1 - part, size) + np.bincount(slots + 1, part, size)
    moved = [np.bincount(slots, slope.ravel(), size) for slope in slopes]
    path = each / 2 * counts.reshape(PHASES, width).cumsum(axis=1)[:, : len(grid)]
    by_edge = np.array(moved, np.float64).reshape(EDGES, PHASES, width)[..., : len(grid)]
    by_edge[..., 0] = 0.0  # chords that begin before the grid stay there
    return path, each / 2 / GRID_PX * by_edge
