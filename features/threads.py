"""The thread: is there one, how far apart are its crests, how do left and right stand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, optimize, signal, special

from features.equations import solved
from features.outline import Outline
from features.quantity import NotMeasured, Quantity, from_parts
from features.smoothing import blurred_lines
from features.strip import Strip

Floats = NDArray[np.float64]

# Search limits as parts of the body width: they bracket every body known (0.2-2 mm on 2-8 mm).
COARSEST, FINEST = 0.39, 0.07
FINEST_PX = 3.2  # below about three pixels a comb cannot be told from noise (Nyquist is two)
HARMONICS = 2
SLOW = 0.22  # of the body width
FEWEST_CRESTS = 3  # two bumps are a rounded end, a bone edge or a step as often as a thread
TOO_FEW = 0.4  # probability left to a comb of fewer crests (a judgement)
BRIDGE = 1.2  # pitches to either side that a flute or a hole may cut out of the comb
BAND = 0.10  # half width of the band along the wall that is averaged, in body widths


@dataclass(frozen=True, slots=True, eq=False)
class Comb:
    """The grey along both walls, its slow part taken away, in units of its own noise."""

    z_px: Floats
    left: Floats
    right: Floats


@dataclass(frozen=True, slots=True)
class Thread:
    """A periodic wall.

    Attributes
    ----------
    pitch_px : Measured in px, or NotMeasured
    stagger : float
        Phase of the right wall against the left, in pitches, -0.5 to 0.5 (0.5: half a pitch).
    stagger_std : float
    from_px, to_px : float
        Where the comb begins and ends along the axis.
    crests_left_px, crests_right_px : tuple of float
        Crest positions along the axis.
    share : float
        Part of the wall's variance the comb explains inside its zone, 0 to 1.
    strength : float
        Standard deviation of the comb, in grey.
    probability : float
        That there is a comb at all.
    """

    pitch_px: Quantity
    probability: float
    share: float = 0.0
    strength: float = 0.0
    stagger: float = 0.0
    stagger_std: float = 0.5
    from_px: float = 0.0
    to_px: float = 0.0
    crests_left_px: tuple[float, ...] = ()
    crests_right_px: tuple[float, ...] = ()


def wall_comb(
    strip: Strip,
    outline: Outline,
    from_px: float,
    to_px: float,
    *,
    fineness: float = 1.0,
    slow: float = SLOW,
) -> Comb:
    """Mean grey in a band along either wall between two heights.

    `fineness` below 1 narrows the band and follows the wall more closely, for a fine thread; what
    changes over more than some `slow` body widths is taken away.
    """
    width = outline.typical_width_px * fineness
    rows = outline.between(from_px, to_px)
    z = outline.z_px[rows]
    sides = []
    for sign, wall in ((-1.0, outline.left_px), (1.0, outline.right_px)):
        smooth = _smooth_wall(wall, outline.z_px, width)[rows]
        offsets = np.arange(-BAND * width, BAND * width + 1e-9, strip.step_px)
        grey = strip.at(z[:, None], sign * (smooth[:, None] + offsets)).mean(axis=1)
        sides.append(without_slow(grey, slow * width / strip.step_px))
    return Comb(z, sides[0], sides[1])


def without_slow(wall: Floats, rows: float) -> Floats:
    """What is left of a wall when its slow changes, over so many rows, are taken away."""
    return np.asarray(wall - blurred_lines(wall, rows))


def _smooth_wall(wall: Floats, z_px: Floats, width: float) -> Floats:
    step = z_px[1] - z_px[0]
    size = max(int(0.6 * width / step) | 1, 5)
    steady = ndimage.median_filter(wall, size=size, mode="nearest")
    return np.asarray(blurred_lines(steady, size / 4, "edge"))


def strongest_comb(
    comb: Comb, *, width_px: float, finest: float = FINEST, coarsest: float = COARSEST
) -> Thread:
    """Find the comb that both walls share, however faint it is.

    Parameters
    ----------
    comb : Comb
    width_px : float
        Of the body; sets the search limits.
    finest, coarsest : float
        Pitches looked for, in body widths.

    Returns
    -------
    Thread
        `pitch_px` is NotMeasured where the walls do not change, or fewer than three crests are
        seen; `probability` says whether the comb is more than chance.

    References
    ----------
    .. [1] D. C. Rife, R. R. Boorstyn, Single-tone parameter estimation from discrete-time
       observations, IEEE Trans. Inf. Theory 20 (1974) 591-598 (the bound behind the std; from
       memory).
    """
    if min(np.ptp(comb.left), np.ptp(comb.right)) < 1e-6:
        return Thread(NotMeasured("no regular thread stands out on the walls"), 0.05)
    shortest = max(finest * width_px, FINEST_PX)
    longest = coarsest * width_px
    if longest <= 1.2 * shortest or np.ptp(comb.z_px) < 3 * shortest:
        return Thread(NotMeasured("the image is too coarse to show a thread"), 0.5)
    zone = np.ones(len(comb.z_px), dtype=bool)
    pitch = _strongest_pitch(comb, zone, shortest, longest)
    for _ in range(2):
        zone = _zone(comb, pitch)
        pitch = _strongest_pitch(comb, zone, max(shortest, 0.8 * pitch), min(longest, 1.25 * pitch))
    return _describe(comb, zone, pitch)


def _strongest_pitch(comb: Comb, zone: NDArray[np.bool_], shortest: float, longest: float) -> float:
    """Pitch whose sine, with a free phase on either wall, explains most."""
    z = comb.z_px[zone]
    window = np.hanning(len(z) + 2)[1:-1]
    span = float(np.ptp(z)) + 1.0
    count = int(np.clip(6 * span * (1 / shortest - 1 / longest), 16, 600))
    ends = 1 / longest, 1 / shortest
    sides = np.stack([comb.left[zone], comb.right[zone]])
    level = window * (sides - sides.mean(axis=1, keepdims=True))
    rate = 1 / (comb.z_px[1] - comb.z_px[0])
    tones = signal.zoom_fft(level, ends, count, fs=rate, endpoint=True)
    power = np.sum(np.abs(tones) ** 2, axis=0)
    return float(1 / np.linspace(*ends, count)[int(power.argmax())])


def _local_strength(comb: Comb, pitch: float) -> Floats:
    """Amplitude of the comb around each row."""
    step = comb.z_px[1] - comb.z_px[0]
    phase = 2 * np.pi * comb.z_px / pitch
    mixed = np.stack([s * f(phase) for s in (comb.left, comb.right) for f in (np.cos, np.sin)])
    smooth = blurred_lines(mixed, 0.9 * pitch / step, "constant")
    return np.asarray(np.sqrt(np.sum(smooth**2, axis=0)))


def _zone(comb: Comb, pitch: float) -> NDArray[np.bool_]:
    """The longest stretch where the comb is strong; a cut through a few crests does not end it."""
    strength = _local_strength(comb, pitch)
    strong = np.flatnonzero(strength > 0.42 * np.percentile(strength, 90))
    step = comb.z_px[1] - comb.z_px[0]
    cuts = np.flatnonzero(np.diff(strong) > 2 * round(BRIDGE * pitch / step) + 1) + 1
    longest = max(np.split(strong, cuts), key=len)
    zone = np.zeros(len(strength), dtype=bool)
    zone[longest[0] : longest[-1] + 1] = True
    return zone


def _design(z: Floats, pitch: float) -> Floats:
    phase = 2 * np.pi * z / pitch
    waves = harmonics(phase, HARMONICS)
    trend = (z - (z[0] + z[-1]) / 2) / max(z[-1] - z[0], 1.0)
    return np.array([np.ones_like(z), trend, *waves]).T


def harmonics(phase: Floats, count: int) -> list[Floats]:
    """Cosine and sine of one to `count` times a phase, radians."""
    cos, sin = np.cos(phase), np.sin(phase)
    waves = [cos, sin]
    for _ in range(count - 1):  # by the sum of two angles: another cosine costs ten times as much
        last_cos, last_sin = waves[-2:]
        waves += [last_cos * cos - last_sin * sin, last_sin * cos + last_cos * sin]
    return waves


def _left_over(z: Floats, sides: tuple[Floats, Floats], pitch: float) -> float:
    """Square sum that a comb of this pitch leaves of both walls."""
    design, walls = _design(z, pitch), np.array(sides)
    seen = (walls @ design).T
    return float(np.vdot(walls, walls) - np.vdot(seen, solved(design.T @ design, seen)))


def _describe(comb: Comb, zone: NDArray[np.bool_], pitch: float) -> Thread:
    z = comb.z_px[zone]
    sides = (comb.left[zone], comb.right[zone])
    best = optimize.minimize_scalar(
        lambda p: _left_over(z, sides, p),
        bounds=(0.97 * pitch, 1.03 * pitch),
        method="bounded",
        options={"xatol": 1e-4 * pitch},
    )
    pitch = float(best.x)
    share = comb_share(z, sides, pitch)
    crests = float(np.ptp(z)) / pitch
    return _with_phases(z, sides, pitch, share, _probability(share, crests))


def comb_share(z: Floats, sides: tuple[Floats, Floats], pitch: float) -> float:
    """Part of both walls' variance that a comb of this pitch explains."""
    total = sum(float(np.sum((s - s.mean()) ** 2)) for s in sides)
    return 1.0 - _left_over(z, sides, pitch) / max(total, 1e-12)


def _probability(share: float, crests: float) -> float:
    """That a comb explaining `share` of the wall over so many crests is not chance.

    Bone texture also shows some period; the middle of the curve was set on walls without a thread
    (simulated films and films of smooth bodies), not derived.
    """
    weight = 14.0 * (share - 0.45) + min(0.8 * (crests - 4.0), 1.5)
    return float(np.clip(special.expit(weight), 0.01, 0.99))


def _with_phases(
    z: Floats, sides: tuple[Floats, Floats], pitch: float, share: float, probability: float
) -> Thread:
    design = _design(z, pitch)
    phases, stds = [], []
    for side in sides:
        weights = np.linalg.lstsq(design, side, rcond=None)[0]
        noise = np.std(side - design @ weights)
        amplitude = float(np.hypot(weights[2], weights[3]))
        phases.append(float(np.arctan2(weights[3], weights[2]) / (2 * np.pi)))
        count = float(np.ptp(z)) / max(pitch / 2, 3.0)  # independent samples, not pixels
        stds.append(float(noise / max(amplitude, 1e-9) / np.sqrt(count) / (2 * np.pi) * 1.5))
    stagger = (phases[1] - phases[0] + 0.5) % 1.0 - 0.5
    crests = [_crests(z, pitch, phase) for phase in phases]
    seen = max(len(c) for c in crests)
    relative = np.hypot(stds[0], stds[1]) * pitch / max(float(np.ptp(z)), 1.0) * 1.2 + 0.001
    measured: Quantity = from_parts(pitch, "px", edge=pitch * relative)
    if seen < FEWEST_CRESTS:
        measured = NotMeasured(f"{seen} crests visible; a pitch needs {FEWEST_CRESTS}")
        probability = min(probability, TOO_FEW)
    return Thread(
        measured,
        probability,
        share,
        float(np.sqrt(share * np.mean([np.var(side) for side in sides]))),
        float(stagger),
        float(np.hypot(stds[0], stds[1])),
        float(z[0]),
        float(z[-1]),
        crests[0],
        crests[1],
    )


def _crests(z: Floats, pitch: float, phase: float) -> tuple[float, ...]:
    first = np.ceil(z[0] / pitch - phase)
    last = np.floor(z[-1] / pitch - phase)
    return tuple(float((n + phase) * pitch) for n in np.arange(first, last + 1))
