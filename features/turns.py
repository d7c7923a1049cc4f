"""Crests and roots turn by turn, so that a width is that of its own height.

The mean turn (`thread_cell`) tells where crest and root lie on average; laid over each single
turn, its crest's half and its root's half tell how far this turn stands off that average. A neck
that flares, a thread that deepens or a cut flute then spoils only the turns it reaches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.median_line import median_line
from features.strip import Strip

Floats = NDArray[np.float64]

# turns that speak for one height; roots change faster than crests where a thread deepens or a
# body steps down under it (simulated)
NEAR_CRESTS, NEAR_ROOTS = 7, 5
ONE_TURN_STD_PX = 0.4  # a smooth turn's stray about its neighbours (simulated)
QUARTER = 0.25  # of a turn to either side belong to its crest, or to its root
SAMPLES = 9  # rows over such a half
UNLIKE = 0.5  # of the mean turn's own variation: a turn that differs more is cut or not there
FARTHEST = 0.5  # of the thread's depth: a turn does not stand off farther


@dataclass(frozen=True, slots=True, eq=False)
class Turns:
    """Heights of one wall's crests, or roots, and how far each is from the axis, px.

    `near` of them speak for one height.
    """

    z_px: Floats
    distance_px: Floats
    near: int = NEAR_CRESTS

    def at(self, z_px: float) -> tuple[float, float]:
        """Distance from the axis at one height by the turns near it, and its std, px."""
        near = np.argsort(np.abs(self.z_px - z_px))[: self.near]
        z, here = self.z_px[near], self.distance_px[near]
        slope, intercept = median_line(z, here)
        left = np.abs(here - slope * z - intercept)
        one = max(1.4826 * float(np.median(left)), ONE_TURN_STD_PX)
        beyond = (z_px - float(z.mean())) / max(float(z.std()), 1e-6)
        return slope * z_px + intercept, one * float(np.sqrt((1 + min(beyond**2, 4.0)) / len(z)))

    def beyond_px(self, z_px: float) -> float:
        """How far from a height the nearest turn is."""
        return float(np.min(np.abs(self.z_px - z_px)))

    def among(self, z_px: float) -> bool:
        """Whether there are turns on either side of a height."""
        return bool(self.z_px.min() <= z_px <= self.z_px.max())


def joined(some: list[Turns]) -> Turns | None:
    """All turns together; None of fewer than two."""
    z, distance = (
        np.concatenate([np.empty(0), *each])
        for each in ([turns.z_px for turns in some], [turns.distance_px for turns in some])
    )
    return Turns(z, distance, some[0].near) if len(z) > 1 else None


@dataclass(frozen=True, slots=True, eq=False)
class MeanTurn:
    """A folded turn, where it was folded from, and where its crest and root were found.

    Attributes
    ----------
    grey : (PHASES, D) array
    depth_px : (D,) array
        Inward from the wall's smooth line.
    pitch_px, phase : float
        Phase of the crest, in turns.
    crest_px, root_px : float
        Outward from the smooth line.
    """

    grey: Floats
    depth_px: Floats
    pitch_px: float
    phase: float
    crest_px: float
    root_px: float


def single_turns(
    strip: Strip, z_px: Floats, line_px: Floats, side: float, mean: MeanTurn
) -> tuple[Turns, Turns]:
    """Crests and roots of one wall between the first and the last of `z_px`."""
    both = []
    for phase, distance, near in (
        (mean.phase, mean.crest_px, NEAR_CRESTS),
        (mean.phase + 0.5, mean.root_px, NEAR_ROOTS),
    ):
        number = np.arange(
            np.ceil(z_px[0] / mean.pitch_px - phase), np.floor(z_px[-1] / mean.pitch_px - phase) + 1
        )
        heights = (number + phase) * mean.pitch_px
        off, like = _off_mean(strip, heights, (z_px, line_px), side, mean, phase)
        if near == NEAR_ROOTS and like.any():
            # bone in the valleys draws all roots inward; together they are the mean turn's
            off -= float(np.median(off[like]))
        here = np.interp(heights, z_px, line_px) + distance + off
        both.append(Turns(heights[like], here[like], near))
    return both[0], both[1]


def _off_mean(
    strip: Strip,
    heights: Floats,
    line: tuple[Floats, Floats],
    side: float,
    mean: MeanTurn,
    phase: float,
) -> tuple[Floats, NDArray[np.bool_]]:
    """How far outward each turn stands, px, by least squares; and whether it looks like one."""
    turns = np.linspace(-QUARTER, QUARTER, SAMPLES)
    rows = (phase + turns) % 1.0 * len(mean.grey)
    model = ndimage.map_coordinates(
        mean.grey,
        np.broadcast_arrays(rows[:, None], np.arange(len(mean.depth_px))[None]),
        order=1,
        mode="grid-wrap",
    )
    slope = np.gradient(model, mean.depth_px, axis=1)
    slope -= slope.mean()
    farthest = FARTHEST * max(mean.crest_px - mean.root_px, 2.0)
    z = heights[:, None, None] + (turns * mean.pitch_px)[:, None]
    wall = np.interp(z, *line) - mean.depth_px
    off, unlike = np.zeros(len(heights)), np.zeros(len(heights))
    for _ in range(3):
        miss = strip.at(z, side * (wall + off[:, None, None])) - model
        miss -= miss.mean(axis=(1, 2), keepdims=True)  # bone beside may be brighter
        off = np.clip(off + (miss * slope).sum(axis=(1, 2)) / np.sum(slope**2), -farthest, farthest)
        unlike = miss.std(axis=(1, 2))
    return off, (unlike < UNLIKE * model.std()) & (np.abs(off) < farthest)
