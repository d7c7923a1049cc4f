"""A hole turned away from the beam: a faint dark band right across the body.

Seen from its side a hole through the body takes the same share of metal out of every ray at one
height. No row shows a dip beside its neighbours across, but the rows are darker than the rows
above and below, on the left, in the middle and on the right alike. What this band ought to look
like is known: its ends are round, and how dark it may be follows from how the grey of this very
body rises from its rim to its middle.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.gaps import GapMap, beside_grey
from features.outline import Outline
from features.strip import Strip

Floats = NDArray[np.float64]

# lengths below are in half widths of the body; what is "simulated" was set on simulated films
STEP = 0.05
REACH = np.linspace(-3.0, 3.0, 121)
ACROSS = np.linspace(-0.85, 0.85, 18)
THIRDS = tuple(
    (a < ACROSS) & (b > ACROSS) for a, b in ((-0.66, -0.22), (-0.22, 0.22), (0.22, 0.66))
)
INNER = np.abs(ACROSS) < 0.66
HEIGHTS = (
    0.2,
    0.26,
    0.34,
    0.44,
    0.58,
    0.76,
    1.0,
    1.25,
)  # half the height of holes of 0.9 to 3.5 mm: from memory
ROUNDEST = 0.42  # half the width of a hole: an oblong one is higher, not wider (from memory)
BESIDE = 0.6  # sound metal above and below, to compare with
HIGHEST = 0.5  # of the length: no hole of this kind lies higher
FROM_APEX = (0.8, 2.6)  # where their middles lie (simulated)
CLOSED_BELOW = 0.35  # metal left below a hole
DRILL_POINT = 0.1  # below the channel's end, of metal still missing
CURVES = (0.05, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0)  # how fast a tone saturates
ALIKE = 0.94  # likeness to a hole's own profile, in the third where it is least (simulated)
VERY_ALIKE = 0.97
DARK, DARK_ENOUGH = 0.6, 0.4  # of what a hole takes away: at least; where it is very much alike
LOW, DARK_WHERE_LOW = 0.23, 1.3  # a band as low as a thread's valley must be a deep one (simulated)


@dataclass(frozen=True, slots=True)
class Band:
    """A dark band across the body; lengths in px.

    Attributes
    ----------
    z_px, half_height_px : float
    darkness : float
        As part of the body's contrast.
    evenness : float
        That of the third where it is least, as part of that where it is most: low where the hole
        is turned askew, not square, to the beam.
    likeness : float
        Correlation with a hole's profile along the axis, in the third where it is least.
    """

    z_px: float
    half_height_px: float
    darkness: float
    evenness: float
    likeness: float


@dataclass(frozen=True, slots=True)
class _Hole:
    """What to look for: half its height, the metal missing along the axis, how dark that is."""

    height: float
    missing: Floats
    darkness: float


@dataclass(frozen=True, slots=True)
class _Match:
    """How like a hole of some height a row is; darkness in grey."""

    likeness: float
    dark: float
    evenness: float
    row: int
    height: float


def find_band(
    strip: Strip,
    outline: Outline,
    gaps: GapMap,
    *,
    tip_px: float,
    pitch_px: float,
    channel_end_px: float,
) -> Band | None:
    """Find the band most like a hole seen from the side.

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
    first = max(channel_end_px + DRILL_POINT * half, 0.3 * tip_px)
    z = np.arange(first, tip_px - 0.1 * half, STEP * half)
    if len(z) < 2 * BESIDE / STEP:
        return None
    grey = _rows_across(strip, outline, z, half)
    curve = _tone(grey[z < 0.9 * tip_px], beside_grey(strip, outline))
    period = pitch_px / half
    if period:
        grey = ndimage.uniform_filter1d(grey, _turn(period), axis=0)
    thirds = np.array([grey[:, third].mean(axis=1) for third in THIRDS])
    holes = [
        _Hole(height, _profile(height, period), _expected(height, curve)) for height in HEIGHTS
    ]
    best = max(
        (_best(thirds, _places(z, tip_px, half, hole.height), hole) for hole in holes),
        key=lambda match: match.likeness,
    )
    if best.likeness < ALIKE:
        return None
    dark = best.dark / max(gaps.contrast, 1e-6)
    return Band(float(z[best.row]), best.height * half, dark, best.evenness, best.likeness)


def _turn(period: float) -> int:
    return max(round(period / STEP), 1)


def _places(z: Floats, tip_px: float, half: float, height: float) -> NDArray[np.intp]:
    """Every second row where the middle of such a hole may lie."""
    from_apex = (tip_px - z) / half
    near = (from_apex > FROM_APEX[0]) & (from_apex < FROM_APEX[1]) & (z > HIGHEST * tip_px)
    rows = np.flatnonzero(near)[::2]
    whole = (rows * STEP > height) & (from_apex[rows] > height + CLOSED_BELOW)
    return rows[whole]


def _rows_across(strip: Strip, outline: Outline, z: Floats, half: float) -> Floats:
    """Grey at the same shares of the half width in every row, (Z, U)."""
    smooth = max(len(outline.z_px) // 12, 3)
    left, right = (
        np.interp(
            z,
            outline.z_px,
            ndimage.gaussian_filter1d(ndimage.percentile_filter(wall, 25, size=smooth), smooth / 2),
        )
        for wall in (outline.left_px, outline.right_px)
    )
    t = ((right - left) / 2)[:, None] + ((right + left) / 2)[:, None] * ACROSS[None, :]
    part, side = (
        strip.rows(z[0] - half, z[-1] + half),
        strip.columns(t.min() - half, t.max() + half),
    )
    blurred = ndimage.gaussian_filter(strip.pixels[part, side], STEP * half / strip.step_px)
    rows = np.broadcast_to((z[:, None] - strip.z_px[part.start]) / strip.step_px, t.shape)
    columns = (t - strip.t_px[side.start]) / strip.step_px
    return np.asarray(ndimage.map_coordinates(blurred, [rows, columns], order=1, mode="nearest"))


def _tone(grey: Floats, beside: float) -> tuple[float, float]:
    """How the body's grey rises with the metal in the ray: amplitude, and how fast it saturates."""
    profile = np.median(grey, axis=0) - beside
    fits = []
    for fast in CURVES:
        shape = _saturating(np.sqrt(1 - ACROSS**2), fast)
        tall = max(float(shape @ profile / (shape @ shape)), 1e-4)
        fits.append((float(np.sum((profile - tall * shape)[1:-1] ** 2)), tall, fast))
    return min(fits)[1:]


def _saturating(metal: Floats, fast: float) -> Floats:
    return np.asarray((1 - np.exp(-fast * metal)) / (1 - np.exp(-fast)))


def _expected(height: float, curve: tuple[float, float]) -> float:
    """How much darker the middle of such a hole is where it lies square to the beam."""
    tall, fast = curve
    metal = np.sqrt(1 - ACROSS[INNER] ** 2)
    less = np.maximum(metal - min(height, ROUNDEST), 0.0)
    return float(tall * (_saturating(metal, fast) - _saturating(less, fast)).mean())


def _profile(height: float, period: float) -> Floats:
    """Metal missing along the axis: round ends, as blurred and averaged as the film's rows."""
    end = min(height, ROUNDEST)
    off = np.maximum(np.abs(REACH[:, None] + STEP * np.linspace(-0.5, 0.5, 9)) - height + end, 0)
    missing = np.sqrt(np.maximum(1 - (off / end) ** 2, 0)).mean(axis=1)
    return np.asarray(ndimage.uniform_filter1d(missing, _turn(period)) if period else missing)


def _best(thirds: Floats, rows: NDArray[np.intp], hole: _Hole) -> _Match:
    """The row most like a hole, in the third where it is least; 0 where it is too faint for one.

    A straight line in grey is taken out of either first: bone and taper shade the body so.
    """
    if not len(rows):
        return _Match(0.0, 0.0, 0.0, 0, hole.height)
    around = round((hole.height + BESIDE) / STEP)
    steps = np.arange(-around, around)
    at = rows[:, None] + steps
    on = (at >= 0) & (at < thirds.shape[1])
    wanted = _without_line(hole.missing[len(REACH) // 2 + steps], on)
    seen = _without_line(thirds[:, np.clip(at, 0, thirds.shape[1] - 1)], on)
    power = np.sum(wanted**2, axis=-1) + 1e-12
    match = -np.sum(seen * wanted, axis=-1)
    likeness = np.min(match / np.sqrt(power * np.sum(seen**2, axis=-1) + 1e-15), axis=0)
    dark = match.mean(axis=0) / power
    likeness = np.where(_dark_enough(dark, likeness, hole), likeness, 0.0)
    best = int(likeness.argmax())
    evenness = float(match[:, best].min() / max(match[:, best].max(), 1e-12))
    found = float(likeness[best]), float(dark[best]), evenness
    return _Match(*found, int(rows[best]), hole.height)


def _without_line(rows: Floats, on: NDArray[np.bool_]) -> Floats:
    """Each row less the straight line through those of its samples that are `on`, 0 elsewhere."""

    def level(values: Floats) -> Floats:
        mean = np.sum(values * on, axis=-1, keepdims=True) / on.sum(axis=-1, keepdims=True)
        return np.asarray((values - mean) * on)

    along, left = level(np.arange(on.shape[-1], dtype=np.float64)), level(rows)
    slope = np.sum(left * along, axis=-1) / np.sum(along**2, axis=-1)
    return np.asarray(left - slope[..., None] * along)


def _dark_enough(dark: Floats, likeness: Floats, hole: _Hole) -> NDArray[np.bool_]:
    least = np.where(likeness > VERY_ALIKE, DARK_ENOUGH, DARK)
    return np.asarray(dark > (DARK_WHERE_LOW if hole.height < LOW else least) * hole.darkness)
