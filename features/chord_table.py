"""The blurred rim of round metal, tabulated once.

1 − exp(−k·√d) blurred with a Gaussian of standard deviation s depends on d and s only through
y = d/s and κ = k·√s: two numbers make a table, and a table has exact slopes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import interpolate, ndimage

Floats = NDArray[np.float64]

SHALLOWEST, DEEPEST = -6.0, 60.0  # of y: beyond, the rim is flat
STEP, FINER = 0.05, 4  # of y; the rim's steep start is sampled so much finer
WEAKEST, STRONGEST, ROWS = 0.0015, 16.0, 48  # of κ, logarithmic


POWERS = range(4)


class Rim(NamedTuple):
    """The rim's height at some places, and its slopes there."""

    height: Floats
    by_strength: Floats
    by_place: Floats


@dataclass(frozen=True, slots=True, eq=False)
class ChordTable:
    """A bicubic spline, kept as the polynomial of every cell: two look-ups, no search for knots.

    Attributes
    ----------
    cells : (K, 4, 4, N) array
        By step of log κ, power of the way into it, power of the way into the step of y, step of y.
    first, step : float
        Of log κ.
    """

    cells: Floats
    first: float
    step: float

    def height(self, strength: float, y: Floats) -> Floats:
        """Of the rim at `y`; `strength` is log κ."""
        lines, _, into = self._at(strength, y)
        return _value(lines, into)

    def rim(self, strength: float, y: Floats) -> Rim:
        """Height with its slopes by log κ and by y."""
        lines, slopes, into = self._at(strength, y)
        return Rim(_value(lines, into), _value(slopes, into), _slope(lines, into))

    def _at(self, strength: float, y: Floats) -> tuple[Floats, Floats, Floats]:
        """Polynomials at each `y` for one κ, their slopes by log κ, and the way into the step."""
        row = min(max(int((strength - self.first) / self.step), 0), len(self.cells) - 1)
        d = strength - self.first - row * self.step
        column = np.minimum(((y - SHALLOWEST) / STEP).astype(np.intp), self.cells.shape[3] - 1)
        cells = self.cells[row].take(column, axis=2).reshape(4, -1)
        both = np.array([[1.0, d, d * d, d * d * d], [0.0, 1.0, 2 * d, 3 * d * d]]) @ cells
        lines, slopes = both.reshape(2, 4, -1)
        return lines, slopes, y - SHALLOWEST - column * STEP


def _value(lines: Floats, into: Floats) -> Floats:
    return np.asarray(((lines[3] * into + lines[2]) * into + lines[1]) * into + lines[0])


def _slope(lines: Floats, into: Floats) -> Floats:
    return np.asarray((3 * lines[3] * into + 2 * lines[2]) * into + lines[1])


@cache
def chord_table() -> ChordTable:
    """Table over (log κ, y), made on first use."""
    margin = 6.0
    y = np.arange(SHALLOWEST - margin, DEEPEST + margin, STEP / FINER)
    root = np.sqrt(np.maximum(y, 0.0))
    strengths = np.geomspace(WEAKEST, STRONGEST, ROWS)
    rim = -np.expm1(-strengths[:, None] * root)
    rim = ndimage.gaussian_filter1d(rim, FINER / STEP, axis=1, mode="nearest", truncate=6.0)
    first = round(FINER * margin / STEP)
    kept = slice(first, first + round(FINER * (DEEPEST - SHALLOWEST) / STEP) + 1, FINER)
    by_strength = _cells(np.log(strengths), rim[:, kept])
    cells = _cells(y[kept], np.moveaxis(by_strength, 2, 0))
    logs = np.log(strengths)
    return ChordTable(np.ascontiguousarray(cells.transpose(3, 2, 0, 1)), logs[0], logs[1] - logs[0])


def _cells(at: Floats, values: Floats) -> Floats:
    """Polynomials (power, step, …) of the cubic spline through `values` along their first axis."""
    spline = interpolate.make_interp_spline(at, values, 3)
    return np.stack([spline(at[:-1], power) / math.factorial(power) for power in POWERS])
