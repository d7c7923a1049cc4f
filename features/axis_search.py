"""Axes through one click: directions in which two straight walls stand beside it.

Every pixel votes with the direction of its grey slope, its size saturated, so that a white crown
counts no more than a pale body: straight walls are where most rows agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.marks import Point
from features.strip import Axis

Floats = NDArray[np.float64]

LONGEST_PX = 250  # of the reduced film: bodies are some 12 to 45 px wide on it
STEP_DEG = 5.0  # walls agree within half of it
SLOPE_PX = 1.5  # blur before the slope: keeps grain and fine threads out
USUAL = 70  # percentile of the film's slopes at which a vote weighs 0.7
REACH = 0.30  # how far to look from the click, of the longest side
LOOKS_PX = (16, 24, 36, 54, 80)  # lengths along the axis in which rows are asked
SHARES = (0.1, 0.5, 0.9)  # the click may lie near either end of a look
STOCKIEST, SLENDEREST = 1.2, 2.4  # length of a look in widths of the band
NARROWEST_PX = 6
LEAST = 0.2  # agreement; bodies have 0.45 and more (simulated and real films)
BRIGHTEST = 96  # percentile of grey that crowns are above
APART_DEG = 15.0  # two candidates nearer than this are one


@dataclass(frozen=True, eq=False)
class ReducedFilm:
    """A film shrunk for looking around on it.

    Attributes
    ----------
    grey : (H, W) array
    factor : float
        Film px to one of its px.
    """

    grey: Floats
    factor: float

    @cached_property
    def votes(self) -> tuple[Floats, Floats]:
        """Saturated grey slope along x and y, (H, W) each."""
        along_x = ndimage.gaussian_filter(self.grey, SLOPE_PX, order=(0, 1))
        along_y = ndimage.gaussian_filter(self.grey, SLOPE_PX, order=(1, 0))
        size = np.hypot(along_x, along_y)
        size = np.hypot(size, max(float(np.percentile(size, USUAL)), 1e-4))
        return along_x / size, along_y / size

    @cached_property
    def range(self) -> tuple[float, float]:
        """Grey of the film's darkest and brightest parts."""
        dark, white = np.percentile(self.grey, (3.0, 99.5))
        return float(dark), float(white)

    @cached_property
    def brightest_px(self) -> Floats:
        """Places of the brightest parts on the film, (2, N), x and y: crowns, mostly."""
        y, x = np.nonzero(self.grey >= np.percentile(self.grey, BRIGHTEST))
        return np.stack([x, y]).astype(np.float64) * self.factor + (self.factor - 1) / 2

    @property
    def longest_px(self) -> float:
        """The film's longest side, in its own px."""
        return float(max(self.grey.shape) * self.factor)

    def on_film(self, point: Point) -> Point:
        """Turn a place on this film into film px."""
        shift = (self.factor - 1) / 2
        return point[0] * self.factor + shift, point[1] * self.factor + shift

    def place(self, point: Point) -> Point:
        """Turn a film point into this film's px (an integer is a pixel's centre on both)."""
        shift = (self.factor - 1) / 2
        return (point[0] - shift) / self.factor, (point[1] - shift) / self.factor


@dataclass(frozen=True, slots=True)
class Band:
    """A bright band with two straight walls; film px.

    Attributes
    ----------
    axis : Axis
        Along the part of the band that was looked at; it has no sense yet.
    half_px : float
        Half the distance of the walls.
    agreement : float
        Votes for the two walls; about 1 where nearly all rows agree on both.
    """

    axis: Axis
    half_px: float
    agreement: float


def reduced(pixels: NDArray[np.float32]) -> ReducedFilm:
    """Shrink a film by block means."""
    factor = max(1, round(max(pixels.shape) / LONGEST_PX))
    height, width = (size // factor * factor for size in pixels.shape)
    blocks = pixels[:height, :width].reshape(height // factor, factor, width // factor, factor)
    return ReducedFilm(blocks.mean(axis=(1, 3), dtype=np.float64), float(factor))


def find_bands(
    film: ReducedFilm, point: Point, *, most: int = 3, step_deg: float = STEP_DEG
) -> list[Band]:
    """Find the bands through a click (film px), the clearest first."""
    x, y = film.place(point)
    found = [_best_band(film, (x, y), math.radians(deg)) for deg in np.arange(0, 180, step_deg)]
    bands: list[Band] = []
    for band in sorted(found, key=lambda band: -band.agreement):
        if band.agreement < LEAST:
            break
        if len(bands) < most and all(_apart_deg(band, other) > APART_DEG for other in bands):
            bands.append(band)
    return bands


def _apart_deg(one: Band, other: Band) -> float:
    turned = math.degrees(one.axis.angle_rad - other.axis.angle_rad)
    return abs((turned + 90) % 180 - 90)


def _best_band(film: ReducedFilm, at: Point, angle: float) -> Band:
    """Best pair of walls for one direction."""
    votes = _votes_across(film, at, angle)
    reach = len(votes) // 2
    looks = [(length, share) for length in LOOKS_PX for share in SHARES if length < reach]
    mean = ndimage.gaussian_filter1d(_means(votes, looks), 1.0, axis=1)
    rise = np.maximum(mean[:, reach - 1 :: -1], 0)[:, :reach]
    fall = np.maximum(-mean[:, reach + 1 :], 0)
    score = _pair_scores(rise, fall, np.array([length for length, _ in looks]))
    look, left, right = (int(i) for i in np.unravel_index(int(score.argmax()), score.shape))
    length, share = looks[look]
    start = Axis(at, angle, float(length)).to_film(-share * length, (right - left) / 2)
    axis = Axis(film.on_film(start), angle, length * film.factor)
    return Band(axis, (left + right + 2) / 2 * film.factor, float(score[look, left, right]))


def _means(votes: Floats, looks: list[tuple[int, float]]) -> Floats:
    """Mean vote of each column over each look's rows, (look, column)."""
    reach = len(votes) // 2
    above = np.vstack([np.zeros(votes.shape[1]), np.cumsum(votes, axis=0)])
    starts = [round(reach - share * length) for length, share in looks]
    parts = [
        (above[start + length] - above[start]) / length
        for start, (length, _) in zip(starts, looks, strict=True)
    ]
    return np.stack(parts)


def _votes_across(film: ReducedFilm, at: Point, angle: float) -> Floats:
    """Votes for a wall across a direction, around a place: rows along it, columns across."""
    reach = int(REACH * max(film.grey.shape))
    steps = np.arange(-reach, reach + 1.0)
    cos, sin = math.cos(angle), math.sin(angle)
    x = np.rint(at[0] + steps[:, None] * cos - steps[None, :] * sin).astype(np.intp)
    y = np.rint(at[1] + steps[:, None] * sin + steps[None, :] * cos).astype(np.intp)
    height, width = film.grey.shape
    x, y = np.clip(x, 0, width - 1), np.clip(y, 0, height - 1)
    along_x, along_y = film.votes
    votes: Floats = cos * along_y[y, x] - sin * along_x[y, x]
    return votes


def _pair_scores(rise: Floats, fall: Floats, lengths: NDArray[np.intp]) -> Floats:
    """Score (look, left, right): the weaker wall counts most; wide bands a little more."""
    out = np.arange(1, rise.shape[1] + 1)
    width = (out[:, None] + out[None, :])[None]
    length = lengths[:, None, None]
    fits = (width * STOCKIEST <= length) & (width * SLENDEREST >= length)
    fits &= width >= NARROWEST_PX
    weaker = np.minimum(rise[:, :, None], fall[:, None, :])
    both = rise[:, :, None] + fall[:, None, :]
    # a screw inside a channel, or a thread, has walls as well: prefer the outer pair
    return np.where(fits, (weaker + 0.15 * both) * (width / 30.0) ** 0.25, 0.0)
