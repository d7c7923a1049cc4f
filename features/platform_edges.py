"""Steps of grey along a run of metal, and where the bone beside it begins."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.outline import Outline
from features.strip import Strip

Floats = NDArray[np.float64]

BROADER = 1.12  # width just below a step against just above
CLEAR = 0.25  # of the body's contrast: a shoulder


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Steps of grey going down the strip, in parts of the body's contrast, row by row.

    `shoulder` is just inside the walls below, `outside` just beside them (positive where it gets
    darker), `across` over the middle (either way).
    """

    z_px: Floats
    shoulder: Floats
    outside: Floats
    across: Floats
    wall_px: Floats
    half_px: float
    contrast: float

    def flare(self, at_px: float, crest_px: float) -> float:
        """Width just below a height against that of the body in the bone."""
        near = self._width(at_px + 0.05 * self.half_px, at_px + 0.35 * self.half_px)
        return near / self._width(crest_px + 0.2 * self.half_px, crest_px + 1.4 * self.half_px)

    def _width(self, low_px: float, high_px: float) -> float:
        rows = (self.z_px >= low_px) & (self.z_px <= high_px)
        return float(np.median(self.wall_px[rows])) if rows.any() else self.half_px

    def broadens(self, row: int) -> bool:
        """Whether the body is wider at once below a row."""
        at, half = float(self.z_px[row]), self.half_px
        above = self._width(at - 0.5 * half, at - 0.3 * half)  # walls are those 0.18 below
        return self._width(at, at + 0.25 * half) > BROADER * above

    def is_across(self, row: int) -> bool:
        """Whether a step at the shoulders goes on over the middle."""
        near = np.abs(self.z_px - self.z_px[row]) < 0.16 * self.half_px
        return float(self.across[near].max()) > CLEAR

    def is_plain(self, from_px: float, row: int) -> bool:
        """Whether nothing narrows, as a thread does, between a height and a row."""
        return not self.peaks("outside", from_px, self.z_px[row], 0.4 * float(self.shoulder[row]))

    def peaks(self, name: str, low_px: float, high_px: float, least: float) -> list[int]:
        """Rows of local maxima between two heights, from the top down."""
        step = getattr(self, name)
        middle = step[1:-1]
        tops = (middle > step[:-2]) & (middle >= step[2:]) & (middle >= least)
        rows = np.flatnonzero(tops) + 1
        z = self.z_px[rows]
        return [int(row) for row in rows[(z >= low_px) & (z <= high_px)]]


def edges_along(strip: Strip, walls: Outline) -> Edges:
    """Steps of grey along the strip, measured beside the walls as they run a little below."""
    half = walls.typical_width_px / 2
    rows = max(int(0.25 * half / strip.step_px), 3)
    below = strip.z_px + 0.18 * half
    left, right = (
        np.interp(below, walls.z_px, ndimage.median_filter(wall, rows))
        for wall in (walls.left_px, walls.right_px)
    )
    blur = 0.035 * half / strip.step_px + 0.8
    step = ndimage.gaussian_filter(strip.pixels, (blur, 0.5), order=(1, 0)) * blur * 2.5

    def beside(low: float, high: float, picture: Floats = step) -> Floats:
        """Left and right, (2, Z), between two shares of the wall's distance."""
        shares = np.linspace(low, high, 7)
        sides = (-left[:, None] * shares, right[:, None] * shares)
        of = replace(strip, pixels=picture)
        return np.stack([of.at(strip.z_px[:, None], t).mean(axis=1) for t in sides])

    gap = (beside(0.4, 0.85, strip.pixels) - beside(1.15, 1.5, strip.pixels)).mean(axis=0)
    length = strip.axis.length_px
    body = (strip.z_px > 0.4 * length) & (strip.z_px < 0.9 * length)
    contrast = max(float(np.median(gap[body])), 1e-4)
    shoulder = beside(0.72, 0.93)
    return Edges(
        strip.z_px,
        (0.7 * shoulder.min(axis=0) + 0.3 * shoulder.max(axis=0)) / contrast,
        -beside(1.07, 1.35).mean(axis=0) / contrast,
        np.abs(beside(0.0, 0.6).mean(axis=0)) / contrast,
        (left + right) / 2,
        half,
        contrast,
    )


def crest_px(strip: Strip, half: float) -> float:
    """Height at which the bone beside the body begins, going up from the apex."""
    columns = np.r_[strip.columns(-2.1 * half, -1.4 * half), strip.columns(1.4 * half, 2.1 * half)]
    grey = np.median(strip.pixels[:, columns], axis=1)
    grey = ndimage.gaussian_filter1d(grey, 0.15 * half / strip.step_px)
    length = strip.axis.length_px
    deep = (strip.z_px > 0.6 * length) & (strip.z_px < 0.95 * length)
    bone = float(np.median(grey[deep]))
    above = (strip.z_px < 0.7 * length) & (strip.z_px > -half)
    air = float(np.percentile(grey[above], 5))
    dark = np.flatnonzero(above & (grey < air + 0.5 * (bone - air)))
    if not len(dark) or air > bone:
        return 0.0
    return float(strip.z_px[dark[-1]])
