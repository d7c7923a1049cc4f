"""Cutting flutes: lengthwise grooves near the apex, told by the stripes that they leave.

Three or four grooves stand evenly turned about the body and run out at its end. What they take from
the shadow is therefore known but for their turn, their width and where they begin: dark stripes
with sharp edges, one beside the other as the turn has it, in every row from one height down. Each
such pattern is laid over the rows; what bone, taper and a rounded body do across a row is smooth
and taken away first. The strongest is held against how such patterns swing in the sound body above.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray
from scipy import special

from features.apical_rows import ApicalRows, apical_rows
from features.body import Body
from features.bore import Bore
from features.cross_hole import CrossHole
from features.finding import MOST_SURE, Finding
from features.flute_shapes import missing_metal
from features.gaps import TOO_FAINT

Floats = NDArray[np.float64]

HIGHEST, LOWEST, STEP = 0.55, 0.9, 0.03  # of the length: where flutes may begin
SHORTEST = 0.1  # of the width: fewer rows are not looked at
FEWEST_SOUND = 8  # rows from which their own noise is told
SMOOTH = 4  # degree of what bone, taper and a round body do across a row (simulated)
# of the body's contrast: how far a pattern swings that is unlike on both sides, that is alike (a
# thread that ends, a hollow and a change of taper are), and where no sound body is seen (simulated)
UNLIKE, ALIKE, UNSEEN = 0.0015, 0.004, 0.003
MANY = 2.0  # of these swings: where the strongest of all patterns stands by chance (simulated)
MIDDLE, RISE = 1.8, 5.0  # logistic of the logarithm of how far a pattern stands out (simulated)
MOST_SURE_OF_NONE = 0.65  # more than half of the flutes that are there do not show (simulated)
NOTHING = 1e-12  # of a pattern: none of it lies among narrow columns
OPEN = "a groove does not show on an open basket"
PERFORATED = "among rows of holes a groove cannot be told"
TOO_SHORT = "too little of the end is clear of channel and holes to tell grooves in it"
TURNED_AWAY = "a flute turned away from the beam does not show"


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """How the patterns, alike or unlike on both sides, are seen in the rows.

    `size` is that of each pattern, (N,); `summed` what is seen of it, summed down the rows,
    (Z + 1, N); `usual` how far it swings at least.
    """

    size: Floats
    summed: Floats
    usual: float

    def mean(self, first: int, last: int) -> Floats:
        """Of some rows."""
        return np.asarray((self.summed[last] - self.summed[first]) / (last - first))

    def noise(self, sound: int, length: int) -> Floats:
        """How far means over so many rows swing in the sound rows, (N,)."""
        if sound < FEWEST_SOUND:
            return np.full(len(self.size), np.hypot(UNSEEN, self.usual))
        length = min(length, sound // 3)
        ends = self.summed[sound::-length]
        swing = np.mean((np.diff(ends, axis=0) / length) ** 2, axis=0)
        return np.asarray(np.sqrt(MANY**2 * (swing + swing.mean()) / 2 + self.usual**2))


def flutes_finding(
    body: Body, channel: Bore, hole: CrossHole | None, *, perforated: bool
) -> Finding:
    """Say whether grooves show near the apex.

    Parameters
    ----------
    body, channel
    hole : CrossHole, optional
        The place most like a hole through the body.
    perforated : bool
        Rows of holes were found.
    """
    if body.gap_map.faint:
        return Finding("not assessable", 1.0, TOO_FAINT)
    if body.opened > 0.5 or perforated:
        return Finding("not assessable", 1.0, PERFORATED if perforated else OPEN)
    rows = apical_rows(body, channel, hole)
    strength = None if rows is None else flute_strength(rows, body.tip_px, body.width_px)
    if strength is None:
        return Finding("not assessable", 1.0, TOO_SHORT)
    chance = float(special.expit(RISE * np.log(max(strength, 0.1) / MIDDLE)))
    if chance > 0.5:
        return Finding("present", min(chance, MOST_SURE))
    return Finding("absent", min(1 - chance, MOST_SURE_OF_NONE), TURNED_AWAY)


def flute_strength(rows: ApicalRows, tip_px: float, width_px: float) -> float | None:
    """How far the likeliest flutes stand out from what is usual; None where too few rows are left.

    Parameters
    ----------
    rows : ApicalRows
    tip_px, width_px : float
        Height of the apex, width of the body.
    """
    halves = _halves(rows)
    shortest = max(3.0, SHORTEST * width_px / rows.step_px)
    found = []
    for share in np.arange(HIGHEST, LOWEST, STEP):
        turn = share * tip_px + rows.turn_px / 2 * np.array([-1.0, 1.0])
        sound, first = (int(row) for row in np.searchsorted(rows.z_px, turn))
        if len(rows.z_px) - first < shortest:
            break
        found.append(_strongest(halves, sound, first, len(rows.z_px)))
    return max(found, default=None)


def _halves(rows: ApicalRows) -> tuple[_Seen, _Seen]:
    """Patterns and rows, split into what is unlike and what is alike on both sides."""
    powers = legendre.legvander(rows.u / rows.u[-1], SMOOTH)
    smooth = np.linalg.qr(powers)[0]
    grey = _without(rows.grey, smooth)
    shapes = -_without(missing_metal(rows.u), smooth)
    return _seen(grey, shapes, -1, UNLIKE), _seen(grey, shapes, 1, ALIKE)


def _without(lines: Floats, smooth: Floats) -> Floats:
    return np.asarray(lines - (lines @ smooth) @ smooth.T)


def _seen(grey: Floats, shapes: Floats, sign: int, usual: float) -> _Seen:
    shapes = (shapes + sign * shapes[:, ::-1]) / 2
    size = np.linalg.norm(shapes, axis=1)
    shapes = shapes / (size[:, None] + 1e-9) / np.sqrt(grey.shape[1])
    # not `@`: a product this small costs several times as much shared among threads
    seen = np.einsum("zu,nu->zn", grey, shapes)
    return _Seen(size, np.cumsum(np.vstack([np.zeros(len(size)), seen]), axis=0), usual)


def _strongest(halves: tuple[_Seen, _Seen], sound: int, first: int, last: int) -> float:
    """The pattern that stands out most below a height: in both halves of the rows, and by itself.

    A flute runs out at the end of the body, which a hole or the mouth of a hollow does not, and is
    dark in its own rows, not only darker than the rows above.
    """
    noises = [half.noise(sound, last - first) for half in halves]
    weights = [half.size / noise**2 for half, noise in zip(halves, noises, strict=True)]
    total = np.sqrt(sum((h.size / n) ** 2 for h, n in zip(halves, noises, strict=True)))

    def strength(start: int, stop: int) -> Floats:
        seen = (w * half.mean(start, stop) for w, half in zip(weights, halves, strict=True))
        return np.asarray(sum(seen) / np.maximum(total, NOTHING))

    above = strength(0, sound) if sound >= FEWEST_SOUND else np.zeros(len(total))
    middle = (first + last) // 2
    parts = [strength(*span) for span in ((first, last), (first, middle), (middle, last))]
    least = np.minimum.reduce([parts[0], *(part - above for part in parts)])
    return float(least.max())
