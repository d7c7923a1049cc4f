"""From a band with two walls to the whole run of metal along it, from its crown end to its apex."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.axis_search import Band, ReducedFilm
from features.median_line import median_line
from features.outline import Outline, find_walls
from features.quantity import NotMeasured
from features.routes import winding_ways
from features.strip import Axis, Strip, straighten

Floats = NDArray[np.float64]
Ends = tuple[int, int]

COARSE = 20  # samples to half a width: enough for ends within a few per cent of the width
REACH = 12.0  # how far to look along the axis, in half widths: a long body with its crown
MOST_TURN_DEG = 8.0
METAL = 0.28  # of the contrast where the band was found: less is no metal any more
GAP = 0.5  # half widths without metal that do not end the run …
SOLID, VENT = 0.45, 1.9  # … nor do longer ones, as of vents, between parts that stand out so much
# weights of the reasons to take one end for the crown's; on simulated films (122 axes) and real
# ones (34) the sum never pointed the wrong way
DARKER, WHITER, CROWNS, WIDER = 1.0, 0.5, 1.0, 0.7
WHITE = 0.6  # from the ground to the metal: what is brighter beside the run is a crown


@dataclass(frozen=True, slots=True)
class Run:
    """A run of metal.

    Attributes
    ----------
    axis : Axis
        From its crown end to its apical end.
    half_px : float
        Half its width where the band was found.
    contrast : float
        Grey from beside it to inside it.
    """

    axis: Axis
    half_px: float
    contrast: float

    def __bool__(self) -> Literal[True]:
        return True


def settle(pixels: NDArray[np.float32], band: Band) -> Band:
    """Move and turn a band to run midway between its walls."""
    for _ in range(2):
        strip = straighten(
            pixels,
            band.axis,
            above_px=0,
            below_px=0,
            half_px=2.0 * band.half_px + 16,
            step_px=_step(band.half_px),
        )
        walls = find_walls(strip, band.half_px)
        band = replace(band, axis=centred(band.axis, walls), half_px=_half(walls))
    return band


def centred(axis: Axis, walls: Outline) -> Axis:
    """Move an axis to run midway between walls that were followed along it (robust line)."""
    middle = (walls.right_px - walls.left_px) / 2
    slope, intercept = median_line(walls.z_px[::2], middle[::2])
    limit = math.radians(MOST_TURN_DEG)
    turn = float(np.clip(np.arctan(slope), -limit, limit))
    moved = axis.moved(t_px=intercept, turn_rad=turn)
    return replace(moved, length_px=axis.length_px)


def _half(walls: Outline) -> float:
    return walls.typical_width_px / 2


def _step(half: float) -> float:
    return max(1.0, half / COARSE)


def find_run(pixels: NDArray[np.float32], film: ReducedFilm, band: Band) -> Run | NotMeasured:
    """Follow the metal from a settled band to both its ends."""
    half, reach = band.half_px, REACH * band.half_px
    axis = replace(band.axis.moved(z_px=-reach), length_px=band.axis.length_px + 2 * reach)
    strip = straighten(
        pixels, axis, above_px=0, below_px=0, half_px=2.2 * half + 16, step_px=_step(half)
    )
    walls = find_walls(strip, half, ways=winding_ways)
    look = strip.rows(reach, reach + band.axis.length_px)
    inner, outer = (_beside_walls(strip, walls, part) for part in ((-0.5, -0.1), (0.12, 0.45)))
    contrast = float(np.median((inner - outer).min(axis=0)[look]))
    if contrast <= 2 * walls.noise:
        return NotMeasured("nothing here stands out from what lies beside it")
    ends = _ends(strip, np.clip((inner - outer) / contrast, -0.5, 1.5).mean(axis=0), look, half)
    if ends is None:
        return NotMeasured("no unbroken piece of metal with two straight walls is seen here")
    return _directed(film, strip, walls, ends, contrast)


def _beside_walls(strip: Strip, walls: Outline, part: tuple[float, float]) -> Floats:
    """Mean grey along both walls, (2, Z), from … to in half widths outward of each."""
    half = _half(walls)
    steps = np.linspace(*part, 7) * half
    left = -(walls.left_px[:, None] + steps)
    right = walls.right_px[:, None] + steps
    z = walls.z_px[:, None]
    return np.stack([strip.at(z, left).mean(axis=1), strip.at(z, right).mean(axis=1)])


def _ends(strip: Strip, stands_out: Floats, look: slice, half: float) -> Ends | None:
    """First and last row of the metal around the look."""
    rows = max(int(0.2 * half / strip.step_px), 1)
    inside = strip.inside[: len(stands_out), strip.columns(-0.5 * half, 0.5 * half)].all(axis=1)
    clear = ndimage.uniform_filter1d(stands_out, rows)
    metal = _bridged((clear > METAL) & inside, GAP * half / strip.step_px)
    metal |= _bridged((clear > SOLID) & inside, VENT * half / strip.step_px)
    labels, _ = ndimage.label(metal)
    counts = np.bincount(labels[look])[1:]
    if not len(counts):
        return None
    run = np.flatnonzero(labels == counts.argmax() + 1)
    return int(run[0]), int(run[-1])


def _bridged(metal: NDArray[np.bool_], gap: float) -> NDArray[np.bool_]:
    """Close gaps of up to so many rows."""
    rows = max(int(gap), 1)
    closed: NDArray[np.bool_] = ndimage.binary_closing(np.pad(metal, rows), np.ones(rows))
    return closed[rows:-rows]


def _directed(film: ReducedFilm, strip: Strip, walls: Outline, ends: Ends, contrast: float) -> Run:
    """Give the run its sense: an apex lies in bone, a top among air, gum or crowns."""
    half, axis = _half(walls), strip.axis
    z_first, z_last = (float(strip.z_px[end]) for end in ends)
    around = (_around(strip, ends[0], half), _around(strip, ends[1], half))
    white = _white(strip, ends, around, half)
    reasons = (
        DARKER * float(np.clip((around[1] - around[0]) / contrast, -1, 1)) * (white == 0.0),
        WHITER * white,
        CROWNS * _crowns(film, axis, (z_first + z_last) / 2, half),
        WIDER * _widens(strip, walls, ends),
    )
    if sum(reasons) < 0:
        turned = Axis(axis.to_film(z_last, 0), axis.angle_rad + math.pi, z_last - z_first)
        return Run(turned, half, contrast)
    return Run(Axis(axis.to_film(z_first, 0), axis.angle_rad, z_last - z_first), half, contrast)


def _white(strip: Strip, ends: Ends, around: tuple[float, float], half: float) -> float:
    """Whether metal or enamel lies beside the first end (1), the last (-1), both or none (0)."""
    rows = slice(ends[0], ends[1] + 1)
    metal = float(np.median(strip.pixels[rows, strip.columns(-0.6 * half, 0.6 * half)]))
    # where most of the run lies in bone, white is whiter than bone: dense bone is no crown
    beside = [_around(strip, round(float(row)), half) for row in np.linspace(*ends, 5)[1:-1]]
    ground = max(min(around), float(np.median(beside)))
    limit = ground + WHITE * max(metal - ground, 0.0)
    return float(around[0] > limit) - float(around[1] > limit)


def _crowns(film: ReducedFilm, axis: Axis, z_px: float, half: float) -> float:
    """How far the brightest parts of the whole film lie toward the axis's start, -1 to 1."""
    middle = axis.to_film(z_px, 0)
    x, y = film.brightest_px
    along = (x - middle[0]) * axis.along[0] + (y - middle[1]) * axis.along[1]
    return -float(np.mean(np.tanh(along / (2 * half))))


def _widens(strip: Strip, walls: Outline, ends: Ends) -> float:
    """How much wider the first end is than the last, in half widths, -1 to 1."""
    rows = max(int(_half(walls) / strip.step_px), 4)
    first = walls.width_px[ends[0] + rows // 4 : ends[0] + rows]
    last = walls.width_px[max(ends[1] - rows, 0) : max(ends[1] - rows // 4, 1)]
    return float(np.clip((np.median(first) - np.median(last)) / _half(walls), -1, 1))


def _around(strip: Strip, row: int, half: float) -> float:
    """Grey to both sides of an end of the run."""
    rows = max(int(half / strip.step_px), 1)
    inside = strip.inside[max(row - rows, 0) : row + rows]
    box = strip.pixels[max(row - rows, 0) : row + rows]
    left = strip.columns(-2.1 * half, -1.3 * half)
    right = strip.columns(1.3 * half, 2.1 * half)
    grey = np.concatenate([box[:, side][inside[:, side]] for side in (left, right)])
    return float(np.median(grey)) if len(grey) else 0.0
