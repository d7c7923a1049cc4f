"""How the wall of a channel's mouth runs: its half width row by row, and its straight part."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

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
FEWEST_ROWS = 6  # of a wall whose slope can be told
STRAIGHT_PX = 0.5  # a straight wall's rows scatter less than this about their line (simulated)
# what a lead-in's rows scatter at most, or so many times what one row differs from the next
EVEN_PX, UNEVEN = 0.2, 1.5
PROUD_PX = 0.3  # a lead-in lies so much outside the line through it and what lies below
END_ROWS, HEAD, TAIL = 3, 1.5, 0.75  # a bevel stands off the line at the top; a step below
LONG_ROWS = 8  # a longer wall has ends that can stand off
# a bent line leaves so much of what a straight one does; its leg above is that tall, and the one
# below that near parallel to the axis: then a cone has ended above a plain wall (simulated)
BENT, LEG_PX, PLAIN = 0.7, 12.0, 0.14
LEG_ROWS = 3  # at least, either side of a bend


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
    turn, lower, raw, half = wall_rows(z_px, t_px, dip, body_px)
    top = int(np.argmax(z_px >= -ABOVE_PX))
    wall = _wall_from(top, z_px, half, raw, body_px)
    raised = _raised_from(half, dip.max(axis=1), top)
    if z_px[top] - z_px[raised] > LEAST_RAISED * body_px:
        tall = _wall_from(raised, z_px, half, raw, body_px)
        wall = tall if tall.to_px > -ABOVE_PX else wall
    rows = (z_px >= wall.from_px) & (z_px <= wall.to_px)
    out = float(np.median(_over_roots(lower, 2 * turn)[rows] - wall.at(z_px[rows])))
    return replace(wall, at_platform_px=wall.at_platform_px + out)


class WallRows(NamedTuple):
    """Half the gap's width in each row, (Z,): low down its dip, where it is told, and steadied.

    `turn` is how many rows hold a root of a tap.
    """

    turn: int
    lower_px: Floats
    raw_px: Floats
    half_px: Floats


def wall_rows(z_px: Floats, t_px: Floats, dip: Floats, body_px: float) -> WallRows:
    """Half the gap's width in each row; arguments as for `follow_wall`."""
    turn = max(round(body_px / float(z_px[1] - z_px[0]) * TURN), 3)
    lower = half_widths(t_px, dip)
    level = LEVELS[_unsteady(lower[z_px >= -ABOVE_PX]) > UNSTEADY_PX]
    raw = half_widths(t_px, dip, level)
    half = ndimage.median_filter(_over_roots(raw, turn), SPIKE_ROWS, mode="nearest")
    return WallRows(turn, lower, raw, half)


def _wall_from(top: int, z_px: Floats, half_px: Floats, raw_px: Floats, body_px: float) -> Wall:
    rim = z_px[top:] < z_px[top] + RIM * body_px
    first = min(top + _out_of_the_rim(half_px[top:][rim]), len(z_px) - FEWEST_ROWS)
    return straight_wall(z_px[first:], half_px[first:], _unsteady(raw_px[first:]))


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


def straight_wall(z_px: Floats, half_px: Floats, unsteady_px: float = 0.0) -> Wall:
    """The longest straight part from the top: below, the wall steps or bends.

    A short lead-in hardly bends a line through it and a long wall below, so the rows are first
    held to what they scatter by themselves: where that part is steeper and stands proud of the
    longer line, it is the mouth.
    """
    lines = _lines(z_px, half_px)
    first = next(lines)
    straight = [first, *takewhile(lambda wall: wall.scatter_px <= STRAIGHT_PX, lines)]
    even = max(EVEN_PX, UNEVEN * unsteady_px)
    lead_in = [first, *takewhile(lambda wall: wall.scatter_px <= even, straight[1:])][-1]
    wall, top = straight[-1], first.from_px
    proud = lead_in.slope < wall.slope and lead_in.at(top) - wall.at(top) > PROUD_PX
    return _above_a_bend(z_px, half_px, lead_in if proud else wall)


def _above_a_bend(z_px: Floats, half_px: Floats, wall: Wall) -> Wall:
    """A wall that was drawn straight over a cone's end, without the plain wall below it."""
    rows = (z_px >= wall.from_px) & (z_px <= wall.to_px)
    z, half = z_px[rows], half_px[rows]
    if len(z) < LONG_ROWS:
        return wall
    straight = float(np.sqrt(np.mean((half - wall.at(z)) ** 2)))
    if straight <= EVEN_PX:
        return wall
    leg, below = min(_bent(z, half), key=lambda pair: pair[0].scatter_px)
    bent = leg.scatter_px < BENT * straight and leg.tall_px >= LEG_PX
    return leg if bent and abs(below) < PLAIN and leg.slope < below else wall


def _bent(z_px: Floats, half_px: Floats) -> Iterator[tuple[Wall, float]]:
    """Lines with a bend at every row: the leg above it, and the slope below."""
    for row in range(LEG_ROWS, len(z_px) - LEG_ROWS):
        beyond = z_px - z_px[row]
        line = np.column_stack([np.ones(len(z_px)), beyond, np.maximum(beyond, 0.0)])
        (at_bend, slope, turn), *_ = np.linalg.lstsq(line, half_px, rcond=None)
        off = half_px - line @ (at_bend, slope, turn)
        start, scatter = float(at_bend - slope * z_px[row]), float(np.sqrt(np.mean(off**2)))
        leg = Wall(start, float(slope), float(z_px[0]), float(z_px[row]), scatter)
        yield leg, float(slope + turn)


def _lines(z_px: Floats, half_px: Floats) -> Iterator[Wall]:
    """Lines through more and more rows from the top."""
    for rows in range(FEWEST_ROWS, len(z_px) + 1):
        yield _line(z_px[:rows], half_px[:rows])


def _line(z_px: Floats, half_px: Floats) -> Wall:
    middle = z_px - z_px.mean()
    slope = float(middle @ half_px / (middle @ middle))
    start = float(half_px.mean() - slope * z_px.mean())
    off = half_px - (start + slope * z_px)
    scatter = float(np.sqrt(np.mean(off**2)))
    if len(z_px) > LONG_ROWS:
        head, tail = (abs(float(end.mean())) for end in (off[:END_ROWS], off[-END_ROWS:]))
        scatter = max(scatter, HEAD * head, TAIL * tail)
    return Wall(start, slope, float(z_px[0]), float(z_px[-1]), scatter)
