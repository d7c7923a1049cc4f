"""How the wall of a channel's mouth runs: its half width row by row, and its straight part."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.straight_runs import SHORTEST, straight_runs

Floats = NDArray[np.float64]

LEVELS = 0.06, 0.15  # of a row's deepest dip: where its width is taken; the higher, above grain
UNSTEADY_PX = 0.4  # from row to row: grain
TURN = 0.04  # of the body width: rows among which a tap has a root
ABOVE_PX = 1.0  # the platform may lie so much higher than it was found
LEAST_RAISED = 0.08  # of the body width: a lower gap above the platform is its rim's
NO_GAP = 0.3  # of the usual dip below: less, and the gap has ended
JUMP_PX = 1.0  # from one row to the next: more is another wall
SPIKE_ROWS = 3  # a shorter kink in the wall is grain
RIM = 0.05  # of the body width: above, a tilted rim's own arc may hide the wall (simulated) …
RISEN_PX = 0.6  # … which has come out of it when it lies so near its widest
STEP_PX = 0.9  # rows scatter so much at least about a straight wall (simulated)
# a run at the top that widens so fast downward is a tilted rim's own arc (simulated)
ARC_SLOPE, ARC_PX = 0.25, 10.0


@dataclass(frozen=True, slots=True)
class Wall:
    """A mouth's wall as far down as it runs straight.

    `at_platform_px` is its distance from the axis there; `slope` is positive where it widens
    downward; `from_px` and `to_px` are heights below the platform.
    """

    at_platform_px: float
    slope: float
    from_px: float
    to_px: float
    scatter_px: float

    @property
    def tall_px(self) -> float:
        """Height over which it is straight."""
        return self.to_px - self.from_px

    def at(self, z_px: float | Floats) -> float | Floats:
        """Distance from the axis at a height below the platform."""
        return self.at_platform_px + self.slope * z_px


def follow_wall(z_px: Floats, t_px: Floats, dip: Floats, body_px: float) -> Wall:
    """Straight part of a mouth's wall.

    Parameters
    ----------
    z_px, t_px : arrays
        Rows' distance from the platform, columns' distance from the axis.
    dip : (Z, T) array
        How far each row dips between the walls of its gap.
    body_px : float
        Width of the body.
    """
    turn, lower, half = wall_rows(z_px, t_px, dip, body_px)
    top = int(np.argmax(z_px >= -ABOVE_PX))
    wall = _wall_from(top, z_px, half, body_px)
    raised = _raised_from(half, dip.max(axis=1), top)
    if z_px[top] - z_px[raised] > LEAST_RAISED * body_px:
        tall = _wall_from(raised, z_px, half, body_px)
        wall = tall if tall.to_px > -ABOVE_PX else wall
    rows = (z_px >= wall.from_px) & (z_px <= wall.to_px)
    out = float(np.median(_over_roots(lower, 2 * turn)[rows] - wall.at(z_px[rows])))
    return replace(wall, at_platform_px=wall.at_platform_px + out)


class WallRows(NamedTuple):
    """Half the gap's width in each row, (Z,): low down its dip, and where it is told, steadied.

    `turn` is how many rows hold a root of a tap.
    """

    turn: int
    lower_px: Floats
    half_px: Floats


def wall_rows(z_px: Floats, t_px: Floats, dip: Floats, body_px: float) -> WallRows:
    """Half the gap's width in each row; arguments as for `follow_wall`."""
    turn = max(round(body_px / float(z_px[1] - z_px[0]) * TURN), 3)
    lower = half_widths(t_px, dip)
    level = LEVELS[_unsteady(lower[z_px >= -ABOVE_PX]) > UNSTEADY_PX]
    raw = half_widths(t_px, dip, level)
    half = ndimage.median_filter(_over_roots(raw, turn), SPIKE_ROWS, mode="nearest")
    return WallRows(turn, lower, half)


def _wall_from(top: int, z_px: Floats, half_px: Floats, body_px: float) -> Wall:
    rim = z_px[top:] < z_px[top] + RIM * body_px
    first = min(top + _out_of_the_rim(half_px[top:][rim]), len(z_px) - SHORTEST)
    return straight_wall(z_px[first:], half_px[first:])


def _raised_from(half_px: Floats, dips: Floats, top: int) -> int:
    """Highest row to which the same gap runs on above the platform, as in a hexagon on it."""
    least = NO_GAP * float(np.median(dips[top:]))
    row = top
    while row and dips[row - 1] > least and abs(half_px[row - 1] - half_px[row]) < JUMP_PX:
        row -= 1
    return row


def _over_roots(half_px: Floats, turn: int) -> Floats:
    """A tapped wall swings between crest and root."""
    return np.asarray(ndimage.grey_closing(half_px, turn, mode="nearest"))


def _unsteady(half_px: Floats) -> float:
    """How much one row differs from its neighbours."""
    return float(1.48 * np.median(np.abs(np.diff(half_px, n=2))))


def half_widths(t_px: Floats, dip: Floats, level: float = LEVELS[0]) -> Floats:
    """Half the gap's width in each row: where a round gap's dip would begin."""
    over = dip - level * dip.max(axis=1, keepdims=True)
    both = _outward(t_px, over) + _outward(-t_px[::-1], over[:, ::-1])
    return np.asarray(0.5 * both / np.sqrt(1 - level**2))


def _outward(t_px: Floats, over: Floats) -> Floats:
    """How far each row stays over 0 from the axis toward larger t, between samples."""
    axis = int(np.searchsorted(t_px, 0.0))
    rows, side = np.arange(len(over)), over[:, axis:]
    first = np.maximum(np.argmax(side <= 0, axis=1), 1)
    inner, outer = side[rows, first - 1], side[rows, first]
    share = np.clip(inner / np.maximum(inner - outer, 1e-9), 0, 1)
    return np.asarray(t_px[axis + first - 1] + share * (t_px[1] - t_px[0]))


def _out_of_the_rim(half_px: Floats) -> int:
    """First row in which the wall, not the rim above it, bounds the gap."""
    return max(int(np.argmax(half_px > half_px.max() - RISEN_PX)), 1)


def straight_wall(z_px: Floats, half_px: Floats) -> Wall:
    """The first straight run from the top: below, the wall steps or bends."""
    runs = straight_runs(half_px, least_std=STEP_PX)
    walls = [_line(z_px[run], half_px[run]) for run in runs]
    own = (wall for wall in walls if wall.slope < ARC_SLOPE or wall.to_px - z_px[0] > ARC_PX)
    return next(own, walls[0])


def _line(z_px: Floats, half_px: Floats) -> Wall:
    middle = z_px - z_px.mean()
    slope = float(middle @ half_px / (middle @ middle))
    start = float(half_px.mean() - slope * z_px.mean())
    off = half_px - (start + slope * z_px)
    scatter = float(np.sqrt(np.mean(off**2)))
    return Wall(start, slope, float(z_px[0]), float(z_px[-1]), scatter)
