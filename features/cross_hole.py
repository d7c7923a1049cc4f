"""A hole right through the body, at any turn to the beam.

Seen end on it is a window; seen from its side it takes the same share of metal out of every ray at
one height, and no row dips beside its neighbours; in between it is a smear across part of the
width. In all of them the metal that is missing along each ray follows from the hole's size and
turn alone. So the film's grey is turned into metal, with the body's own rise from rim to middle as
the key, and what is missing is compared with holes of all sizes and turns, and with hollows round
the axis.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.gaps import GapMap
from features.hole_judge import Likeness, Rows, probability, rows_of
from features.hole_shapes import ACROSS, STEP, holes, hollows, steps, window
from features.outline import Outline
from features.smoothing import blurred
from features.strip import Strip

Floats = NDArray[np.float64]

# lengths below are in half widths of the body
HALF_HEIGHTS = (0.2, 0.28, 0.36, 0.45, 0.6, 0.8, 1.0)  # holes of 0.9 to 3.5 mm: from memory
HIGHEST = 0.25  # of the length from the platform
CLOSED_BELOW, FARTHEST = 0.3, 4.2  # metal below a hole; how far its middle lies from the apex
CURVES = (0.05, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0)  # how fast a tone saturates
LEAST, MOST = 0.4, 2.5  # of the metal a hole takes: less or more is another thing
HOLLOW_LEAST, HOLLOW_MOST = 0.35, 1.6  # of that of a hollow round the axis
NARROWEST, WIDEST = 0.2, 1.6  # of the half width: rows beyond are no longer the same body
PLACES, APART, NEAREST = 3, 0.5, 0.2  # looked at for one height; of it, and at least, between them


@dataclass(frozen=True, slots=True)
class CrossHole:
    """The place most like a hole; lengths in px.

    Attributes
    ----------
    z_px, half_height_px, half_width_px : float
    turn_deg : float
        0 seen end on, 90 from its side.
    likeness : float
        Correlation with the metal such a hole takes away.
    missing : float
        Of the body's metal, where most of it is missing.
    probability : float
    """

    z_px: float
    half_height_px: float
    half_width_px: float
    turn_deg: float
    likeness: float
    missing: float
    probability: float

    @property
    def likely(self) -> bool:
        """Whether it is a hole rather than not."""
        return self.probability >= 0.5


def find_cross_hole(
    strip: Strip,
    outline: Outline,
    gaps: GapMap,
    *,
    tip_px: float,
    pitch_px: float,
    channel_end_px: float,
) -> CrossHole | None:
    """Find the place most like a hole, likely or not; None where there is no room for one.

    Parameters
    ----------
    strip, outline, gaps
    tip_px : float
        Height of the apex.
    pitch_px : float
        Thread pitch, over which the rows are averaged; 0 where there is none.
    channel_end_px : float
        Where the channel from the platform ends; 0 where none was seen.
    """
    half = outline.width_between(0.55 * tip_px, 0.85 * tip_px) / 2
    z = np.arange(HIGHEST * tip_px, tip_px - STEP * half, STEP * half)
    if gaps.faint or len(z) < 2:
        return None
    turn_rows = max(steps(pitch_px / half), 1) if pitch_px else 1
    left, right = _walls(outline, z)
    grey = _rows_across(strip, z, left, right, half)
    tone = _tone(grey[z < 0.9 * tip_px], gaps.beside)
    chord = np.clip((left + right) / 2 / half, NARROWEST, WIDEST)
    missing = _missing(grey, gaps.beside, tone, chord)
    ends = {"tip_px": tip_px, "channel_end_px": channel_end_px}
    return _most_alike(
        list(_likeliest_of_each(rows_of(missing, turn_rows, z, half, **ends), turn_rows))
    )


def _most_alike(found: list[CrossHole]) -> CrossHole | None:
    """The likeliest hole, of the size most alike to what is seen at its place."""
    likeliest = max(found, key=lambda hole: hole.probability, default=None)
    if likeliest is None:
        return None
    there = [h for h in found if abs(h.z_px - likeliest.z_px) < likeliest.half_height_px]
    alike = max(there, key=lambda hole: hole.likeness)
    return replace(alike, probability=likeliest.probability)


def _missing(grey: Floats, beside: float, tone: tuple[float, float], chord: Floats) -> Floats:
    """Metal missing along every ray, as part of the chord in the middle.

    `chord` is that of each row: where a body narrows, less is in the ray and none is missing.
    """
    tall, fast = tone
    ceiling = 1 - np.exp(-fast)
    share = np.clip((grey - beside) / tall * ceiling, -0.3, 0.999 * ceiling)
    metal = np.clip(-np.log(1 - share) / fast, -0.3, 1.6)
    return np.asarray(chord[:, None] * np.sqrt(1 - ACROSS**2) - metal)


def _walls(outline: Outline, z: Floats) -> tuple[Floats, Floats]:
    """How far the roots of the walls lie from the axis."""
    smooth = max(len(outline.z_px) // 12, 3)
    left, right = (
        np.interp(
            z,
            outline.z_px,
            ndimage.gaussian_filter1d(ndimage.percentile_filter(wall, 25, size=smooth), smooth / 2),
        )
        for wall in (outline.left_px, outline.right_px)
    )
    return left, right


def _rows_across(strip: Strip, z: Floats, left: Floats, right: Floats, half: float) -> Floats:
    """Grey at the same shares of the half width in every row, (Z, U)."""
    t = ((right - left) / 2)[:, None] + ((right + left) / 2)[:, None] * ACROSS[None, :]
    part, side = (
        strip.rows(z[0] - half, z[-1] + half),
        strip.columns(t.min() - half, t.max() + half),
    )
    even = STEP * half / strip.step_px
    soft = blurred(strip.pixels[part, side], even, even)
    rows = np.broadcast_to((z[:, None] - strip.z_px[part.start]) / strip.step_px, t.shape)
    columns = (t - strip.t_px[side.start]) / strip.step_px
    return np.asarray(ndimage.map_coordinates(soft, [rows, columns], order=1, mode="nearest"))


def _tone(grey: Floats, beside: float) -> tuple[float, float]:
    """How the body's grey rises with the metal in the ray: amplitude, and how fast it saturates."""
    profile = np.median(grey, axis=0) - beside
    fits = []
    for fast in CURVES:
        shape = (1 - np.exp(-fast * np.sqrt(1 - ACROSS**2))) / (1 - np.exp(-fast))
        tall = max(float(shape @ profile / (shape @ shape)), 1e-4)
        fits.append((float(np.sum((profile - tall * shape)[1:-1] ** 2)), tall, fast))
    return min(fits)[1:]


def _likeliest_of_each(rows: Rows, turn_rows: int) -> Iterator[CrossHole]:
    """The places most like holes of each height."""
    for half_height in HALF_HEIGHTS:
        around = window(half_height)
        middles = np.arange(-around[0], len(rows.z_px) - around[-1], 2)
        from_apex = (rows.tip_px - rows.z_px[middles]) / rows.half_px
        middles = middles[(from_apex > half_height + CLOSED_BELOW) & (from_apex < FARTHEST)]
        if len(middles):
            yield from _places(rows, turn_rows, middles, half_height)


def _places(
    rows: Rows, turn_rows: int, middles: NDArray[np.intp], half_height: float
) -> Iterator[CrossHole]:
    """Compare every place with every hole of one height, and judge those most alike."""
    kinds, taken = holes(half_height)
    taken = _turned(taken, turn_rows)
    found = _without_line(rows.missing[middles[:, None] + window(half_height)])
    found = found.reshape(len(middles), -1)
    alike = _alike(found, taken, LEAST, MOST)
    hollow = _alike(found, _turned(hollows(half_height), turn_rows), HOLLOW_LEAST, HOLLOW_MOST)
    hollow_there = hollow.likeness.max(axis=1)
    best = alike.likeness.max(axis=1)
    for place in _apart(rows.z_px[middles] / rows.half_px, best, half_height):
        kind = int(alike.likeness[place].argmax())
        turn, half_width = kinds[kind]
        z_px = float(rows.z_px[middles[place]])
        like = Likeness(
            half_height,
            float(best[place]),
            float(hollow_there[max(place - 2, 0) : place + 3].max()),
            float((found[place] ** 2).mean()),
            float(alike.part[place, kind] * taken[kind].max()),
        )
        yield CrossHole(
            z_px,
            half_height * rows.half_px,
            half_width * rows.half_px,
            abs(turn),
            like.hole,
            like.missing,
            probability(rows, z_px, like),
        )


def _apart(z: Floats, likeness: Floats, half_height: float) -> Iterator[int]:
    """The places most alike that do not lie about each other."""
    left = likeness.copy()
    for _ in range(PLACES):
        place = int(left.argmax())
        if left[place] <= 0:
            return
        yield place
        left[np.abs(z - z[place]) < max(APART * half_height, NEAREST)] = 0.0


def _turned(taken: Floats, turn_rows: int) -> Floats:
    """A turn of the thread averaged out, as in the rows."""
    return taken if turn_rows < 2 else ndimage.uniform_filter1d(taken, turn_rows, axis=1)


class _Alike(NamedTuple):
    """Correlation of places with shapes, 0 where their metal is another, and that metal, (P, N)."""

    likeness: Floats
    part: Floats


def _alike(found: Floats, shapes: Floats, least: float, most: float) -> _Alike:
    wanted = _without_line(shapes).reshape(len(shapes), -1)
    power, swing = (wanted**2).sum(axis=1), (found**2).sum(axis=1)
    match = found @ wanted.T
    alike = match / np.sqrt(power * swing[:, None] + 1e-9)
    part = match / np.maximum(power, 1e-9)
    return _Alike(np.where((part > least) & (part < most), alike, 0.0), part)


def _without_line(rows: Floats) -> Floats:
    """Take the straight line along the axis out of every column: bone and taper shade a body so."""
    along = np.arange(rows.shape[1]) - (rows.shape[1] - 1) / 2
    level = rows - rows.mean(axis=1, keepdims=True)
    slope = np.einsum("z,nzu->nu", along, level) / (along @ along)
    return np.asarray(level - slope[:, None, :] * along[:, None])
