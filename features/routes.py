"""Cheapest ways down pictures, as over a mountain: one column in every row, several at once.

A step to one of the eight neighbours costs the mean of both places, times its length. No way leads
up again, so rows follow one another and each is one short piece of array arithmetic: for all
pictures together, and from both ends of each toward its middle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from skimage.graph import route_through_array

Floats = NDArray[np.float64]

BARRED = 1e5  # the cost of a place that no way takes: far above any other
FREE, FREE_ROWS = 1e-3, 3  # rows that cost next to nothing at both ends: a way starts anywhere
NEXT_TO_NOTHING = 1e-6
LEFT, RIGHT = np.int8(-1), np.int8(1)


@dataclass(frozen=True, slots=True, eq=False)
class _Ways:
    """The cheapest ways to every place from the first row, (rows, pictures, columns).

    A way comes to its last place `along` the row from the left (-1), from the right (1) or not at
    all (0); `above` is how far to the side it was in the row before.
    """

    cost: Floats
    above: NDArray[np.int8]
    along: NDArray[np.int8]


def cheapest_ways(pictures: list[Floats]) -> list[NDArray[np.intp]]:
    """Column of the cheapest way down each picture, in every row.

    Where a way runs along a row, its first cheapest place there is given.

    Parameters
    ----------
    pictures : list of (Z, T) arrays
        Cost of every place, all of one height; `BARRED` where no way may lead.
    """
    wide = max(picture.shape[1] for picture in pictures)
    padded = [_padded(picture, wide) for picture in pictures]
    middle = len(padded[0]) // 2
    both = [each[: middle + 1] for each in (*padded, *(each[::-1] for each in padded))]
    starts = np.array([picture.shape[1] // 2 for picture in pictures] * 2)
    ways = _ways(np.stack(both, axis=1), starts)
    return [
        _joined(ways, picture, (number, number + len(pictures)))[FREE_ROWS:-FREE_ROWS]
        for number, picture in enumerate(padded)
    ]


def winding_ways(pictures: list[Floats]) -> list[NDArray[np.intp]]:
    """The same where ways may lead up again, as past the ends of what they follow; far slower."""
    return [_winding(_padded(picture, picture.shape[1])) for picture in pictures]


def _winding(picture: Floats) -> NDArray[np.intp]:
    middle = picture.shape[1] // 2
    path, _ = route_through_array(picture, (0, middle), (len(picture) - 1, middle))
    rows, columns = np.array(path).T
    order = np.lexsort((picture[rows, columns], rows))
    _, cheapest = np.unique(rows[order], return_index=True)
    return np.asarray(columns[order][cheapest][FREE_ROWS:-FREE_ROWS])


def _padded(picture: Floats, wide: int) -> Floats:
    free = np.full((FREE_ROWS, picture.shape[1]), FREE)
    beside = (0, 0), (0, wide - picture.shape[1])
    return np.pad(np.vstack([free, picture, free]), beside, constant_values=BARRED)


def _ways(places: Floats, starts: NDArray[np.intp]) -> _Ways:
    """From one start in each picture's first row; `places`: (rows, pictures, columns)."""
    half, slant = places / 2, places / math.sqrt(2)
    along = np.zeros_like(places)  # cost of the way from a row's first place along it
    np.cumsum(half[..., 1:] + half[..., :-1], axis=-1, out=along[..., 1:])
    down = half[:-1] + half[1:]
    reached, straight, left, right, cost = (np.empty_like(places) for _ in range(5))
    slanted = np.full((*places.shape[:2], places.shape[2] + 2), np.inf)
    both = np.empty((2, *places.shape[1:]))
    mirrored = both[1, :, ::-1]
    reached[0], straight[0] = BARRED * places.shape[2], 0.0
    reached[0, np.arange(len(starts)), starts] = 0.0
    for row, so_far in enumerate(along):
        here = reached[row]
        if row:
            before, aside = cost[row - 1], slanted[row]
            np.add(before, down[row - 1], out=straight[row])
            np.add(before, slant[row - 1], out=aside[:, 1:-1])
            np.minimum(aside[:, :-2], aside[:, 2:], out=here)
            here += slant[row]
            np.minimum(here, straight[row], out=here)
        np.subtract(here, so_far, out=both[0])
        np.add(here, so_far, out=mirrored)
        np.minimum.accumulate(both, axis=2, out=both)
        np.add(both[0], so_far, out=left[row])
        np.subtract(mirrored, so_far, out=right[row])
        np.minimum(left[row], right[row], out=cost[row])
    above = np.where(slanted[..., :-2] <= slanted[..., 2:], LEFT, RIGHT)
    sideways = np.where(left <= right, LEFT, RIGHT)
    return _Ways(cost, above * (reached < straight), sideways * (reached > cost + NEXT_TO_NOTHING))


def _joined(ways: _Ways, picture: Floats, numbers: tuple[int, int]) -> NDArray[np.intp]:
    """The way from the top and that from the bottom, where both together are cheapest."""
    middle = len(picture) // 2
    down, up = numbers
    below = len(picture) - 1 - middle  # rows below that one
    column = int((ways.cost[middle, down] + ways.cost[below, up]).argmin())
    upper, lower = _back(ways, down, (middle, column)), _back(ways, up, (below, column))
    runs = [run[::-1] for run in upper[::-1]]
    runs = [*runs[:-1], runs[-1] + lower[0], *lower[1:]]
    return np.array([_cheapest(run, costs) for run, costs in zip(runs, picture, strict=True)])


def _cheapest(run: list[int], costs: Floats) -> int:
    return run[int(costs[run].argmin())] if len(run) > 1 else run[0]


def _back(ways: _Ways, number: int, place: tuple[int, int]) -> list[list[int]]:
    """The way from a place back to the first row: the columns of every row it comes through."""
    row, column = place
    along, above = ways.along[:, number], ways.above[:, number]
    runs = []
    for here in range(row, -1, -1):
        run = [column]
        while step := int(along[here, column]):
            column += step
            run.append(column)
        runs.append(run)
        column += int(above[here, column])
    return runs
