"""Whether the body narrows in steps: level lengths with sudden shoulders, against an even taper.

The widths down the body, crest by crest where it is threaded, are laid out once as a staircase and
once as a smooth curve, and Schwarz's criterion (Ann. Statist. 6:461, 1978; from memory) says which
of the two the noise leaves standing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from features.body import Body
from features.finding import Finding
from features.turns import joined

Floats = NDArray[np.float64]

PLACES = 60  # heights at which a smooth body's width is taken
SMOOTH_PART, THREADED_PART = (0.10, 0.92), (0.06, 0.93)  # of the length: without rim and tip
FEWEST, MOST = 3, 7  # level lengths
SHORTEST = 2  # widths on one level
SHOULDER = 0.008  # of the body's width, each side: less is a wall's own wave
CURVES = (1, 2, 3, 4, 5)  # degrees of the even course: bulges and waists are even as well
CRESTS = 12  # fewer say nothing of steps
# what each width must speak for steps, in nepers; they part simulated bodies
CLEAR_SMOOTH, CLEAR_THREADED = 0.8, 0.15
# sureness: turns hide small steps (judgements)
PRESENT, ABSENT_SMOOTH, ABSENT_THREADED = 0.85, 0.85, 0.7
NEVER = 1e9


@dataclass(frozen=True, slots=True, eq=False)
class Staircase:
    """The best staircase of so many levels.

    Attributes
    ----------
    levels : (K,) array
    squares : float
        Sum of squares left.
    """

    levels: Floats
    squares: float

    @property
    def narrows(self) -> bool:
        """Whether every shoulder narrows the body."""
        return bool((-np.diff(self.levels) > SHOULDER).all())


def steps_finding(body: Body) -> Finding:
    """Sudden changes of diameter along a body, smooth or threaded."""
    threaded = bool(body.thread.pitch_px)
    widths = _crest_distances(body) if threaded else _smooth_widths(body)
    if widths is None:
        return Finding("not assessable", 1.0, "too few turns of the thread stand out to tell steps")
    if steps_rather_than_taper(*widths) > (CLEAR_THREADED if threaded else CLEAR_SMOOTH):
        return Finding("present", PRESENT)
    return Finding("absent", ABSENT_THREADED if threaded else ABSENT_SMOOTH)


def _smooth_widths(body: Body) -> tuple[Floats, Floats]:
    """Half widths of the outline down the body, in body widths, each the median of a stretch."""
    rows = body.outline.between(*(body.height(share) for share in SMOOTH_PART))
    each = max(int(rows.sum()) // PLACES, 1)
    used = int(rows.sum()) // each * each
    z = body.outline.z_px[rows][:used].reshape(-1, each).mean(axis=1)
    width = np.median(body.outline.width_px[rows][:used].reshape(-1, each), axis=1)
    return z, width / 2 / body.width_px


def _crest_distances(body: Body) -> tuple[Floats, Floats] | None:
    """Crests of both walls, each against its own wall's median, in body widths; None of too few."""
    left, right = body.walls.left.crests, body.walls.right.crests
    if left is None or right is None:
        return None
    level = [
        replace(turns, distance_px=turns.distance_px - np.median(turns.distance_px))
        for turns in (left, right)
    ]
    both = joined(level)
    if both is None:
        return None
    high, low = (body.height(share) for share in THREADED_PART)
    inside = (both.z_px > high) & (both.z_px < low)
    if inside.sum() < CRESTS:
        return None
    return both.z_px[inside], both.distance_px[inside] / body.width_px


def steps_rather_than_taper(z_px: Floats, half_width: Floats) -> float:
    """How much each width speaks for a staircase rather than an even course, nepers.

    Parameters
    ----------
    z_px : (N,) array
        Heights down the body, in any order.
    half_width : (N,) array
        Distance of the wall from the axis there, in body widths, up to a constant.
    """
    order = np.argsort(z_px, kind="stable")
    z, half = z_px[order], half_width[order]
    number = len(half)
    if number < FEWEST * SHORTEST:
        return -NEVER
    stairs = [stair for stair in _staircases(half) if stair.narrows]
    if not stairs:
        return -NEVER
    along = (z - z.mean()) / max(float(np.ptp(z)), 1e-9)
    curves = (half - np.polyval(np.polyfit(along, half, n), along) for n in CURVES)
    even = min(
        _criterion(float((left**2).sum()), n + 1, number)
        for left, n in zip(curves, CURVES, strict=True)
    )
    stepped = min(_criterion(s.squares, 2 * len(s.levels), number) for s in stairs)
    return (even - stepped) / number


def _criterion(squares: float, parameters: int, number: int) -> float:
    return float(number * np.log(max(squares / number, 1e-12)) + parameters * np.log(number))


def _staircases(half: Floats) -> list[Staircase]:
    """The best staircases of `FEWEST` to `MOST` levels, by dynamic programming over their ends."""
    number = len(half)
    lost = _lost_on_one_level(half)
    best, cuts = lost[0], []
    found = []
    for levels in range(2, MOST + 1):
        # best[i - 1]: with the levels so far over the first i widths; the next one from i to j
        total = best[:-1, None] + lost[1:]
        cuts.append(1 + total.argmin(axis=0))
        best = total.min(axis=0)
        if levels >= FEWEST and best[-1] < NEVER:
            ends = [number]
            for cut in reversed(cuts):
                ends.append(int(cut[ends[-1] - 1]))
            parts = np.split(half, sorted(ends[1:]))
            found.append(Staircase(np.array([part.mean() for part in parts]), float(best[-1])))
    return found


def _lost_on_one_level(half: Floats) -> Floats:
    """Sum of squares about their mean of the widths from the i-th to the j-th, (N, N)."""
    number = len(half)
    sums, squares = (np.concatenate([[0.0], np.cumsum(power)]) for power in (half, half**2))
    start, end = np.arange(number)[:, None], np.arange(1, number + 1)[None]
    many = end - start
    lost = squares[end] - squares[start] - (sums[end] - sums[start]) ** 2 / np.maximum(many, 1)
    return np.where(many >= SHORTEST, np.maximum(lost, 0.0), NEVER)
