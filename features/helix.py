"""How the thread runs across the body: its starts, and the tilt of the beam.

The near and the far side of an n-start thread throw their combs over each other. At distance u·R
from the axis, with the beam tilted by τ off square, what is seen together is

    m(u) = cos(n·arccos(u) − k·√(1 − u²)),   k = 2π·R·tan(τ) / pitch

times a weight that falls smoothly from the wall inward (derived: the near side is moved along the
axis by +R·√(1 − u²)·tan(τ), the far side by as much the other way). n = 0 are rings. One degree of
tilt turns the middle of a 4 mm body with a 0.6 mm pitch by 20°, so the comb tells the tilt far
better than the rim of the platform does; and its shape tells one, two and three starts and rings
apart. The sense of the tilt rests on a right-handed thread and a film that is not mirrored.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, special

from features.finding import Finding, Form
from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity
from features.smoothing import blurred_lines
from features.strip import Strip
from features.threads import Thread

Floats = NDArray[np.float64]

STARTS = (0, 1, 2, 3)  # 0: rings
PRIOR = np.log([0.20, 0.50, 0.20, 0.10])  # one start is by far the commonest: from memory
USUAL_TILT_DEG = 6.0  # how far off square a hand-held beam usually is: from memory
STEEPEST_DEG = 18.0
STEEPEST_FOR_RINGS_DEG = 8.0  # steeper, rings and two starts look alike; two starts are commoner
STEP_DEG = 0.25
INNER = 0.86  # of the radius: farther out the wall's own edge takes over
# of the radius: between root and crest of a deep thread the comb is no longer that of two thin
# sides; up to here the tilt is read without bias (simulated)
INSIDE_ROOTS = 0.65
MIDDLE_OF_CREST = 0.98  # of the outline's radius: where the comb is centred (simulated)
SHARPNESS = 2.0  # how much a halved misfit counts; low, as neighbouring columns are not independent
MISFIT_FLOOR = 0.004  # of the comb's power: the model is no better than this (simulated)
STAGGER_FLOOR = 0.09  # of a pitch: what an uneven wall adds
NOT_TOLD = 0.5  # of a pitch: the std of a stagger that may be anything
MODEL_STD_DEG, MODEL_SHARE = 0.4, 0.09  # what is left on simulated films, clean to hard
# two starts seen square and rings seen some ten degrees aslant draw the same picture
SQUARE_DEG, RINGS_FIT = 2.5, 0.05
# fewer leave the comb across the body to a hole or an end; the next are less sure (simulated)
FEWEST_TURNS, FEW_TURNS, FEW_STD_DEG = 3.1, 4.0, 1.2
# by how much of its log-likelihood a tilt must stand above all others so far off, and how unsure
# one is that stands higher by 1 (simulated)
STANDS_OUT, OTHER_DEG, RIVAL_STD_DEG = 1.0, 2.5, 1.0
AS_LIKELY = 0.8  # then rings are hardly less likely than two starts (a judgement)
TOO_FAINT = "the thread is too faint across the body to tell the beam's tilt"
# probability of rings between which they and two starts are not told apart: of the films that say
# less for rings one in ten shows them, between the two one in two (simulated)
UNTOLD = (0.27, 0.65)
# probability of a thread between which coarse bone over a faint body may hide or feign one
LEAST_THROUGH_BONE, MOST_THROUGH_BONE = 0.1, 0.95
AMONG_BONE = "the bone is as uneven as the body is bright: a thread cannot be told from it"
ALIKE = "rings and a thread of two starts look alike here"
SEEN = 0.5  # probability of turns, be it a thread's or rings
SURE = 0.9  # probability of a number of starts from which its tilt is believed


@dataclass(frozen=True, slots=True)
class Helix:
    """What the comb says across the body.

    Attributes
    ----------
    starts : mapping of int to float
        Probability of 0 (rings), 1, 2 and 3 starts.
    tilt_deg : Measured in degrees, or NotMeasured
        Positive with the tube on the platform's side of square.
    """

    starts: Mapping[int, float]
    tilt_deg: Quantity

    @property
    def likely_starts(self) -> int:
        """The likeliest number of starts."""
        return max(self.starts, key=lambda n: self.starts[n])


def read_helix(strip: Strip, outline: Outline, thread: Thread, *, hollow: bool = False) -> Helix:
    """Fit the comb's course across the body for every number of starts.

    `hollow`: the near and the far wall are thin, so the middle of the comb is not that of a solid.
    """
    if not thread.pitch_px:
        reason = "there is no thread to tell the beam's tilt from"
        known = thread.stagger_std < NOT_TOLD
        logs = PRIOR + _stagger_log(thread) if known else np.zeros(len(STARTS))
        return Helix(_chances(logs), NotMeasured(reason))
    pitch = thread.pitch_px.value
    u, comb, radius = _across(strip, outline, thread, pitch)
    tilts = np.arange(-STEEPEST_DEG, STEEPEST_DEG + STEP_DEG / 2, STEP_DEG)
    misfits = np.stack([_misfits(u, comb, n, tilts, radius / pitch) for n in STARTS])
    starts = _starts(misfits, tilts, thread)
    likely = max(starts, key=lambda n: starts[n])
    if hollow:
        return Helix(starts, NotMeasured("a hollow body does not tell the tilt of the beam"))
    turns = (thread.to_px - thread.from_px) / pitch
    if turns < FEWEST_TURNS:
        return Helix(starts, NotMeasured("too few turns are seen to tell the beam's tilt"))
    inside = np.abs(u) <= INSIDE_ROOTS
    deep = _misfits(u[inside], comb[inside], likely, tilts, radius / pitch)
    return Helix(starts, _tilt(likely, starts[likely], tilts, deep, few=turns < FEW_TURNS))


def _starts(misfits: Floats, tilts: Floats, thread: Thread) -> dict[int, float]:
    """Probability of every number of starts."""
    usual = misfits.copy()
    usual[0, np.abs(tilts) > STEEPEST_FOR_RINGS_DEG] = 1.0
    scores = _scores(usual, tilts)
    logs = scores.max(axis=1) + PRIOR + _stagger_log(thread)
    if misfits[0].min() < RINGS_FIT and abs(tilts[scores[2].argmax()]) < SQUARE_DEG:
        logs[0] = max(logs[0], np.log(AS_LIKELY) + logs[2])
    return _chances(logs)


def _chances(logs: Floats) -> dict[int, float]:
    chances = special.softmax(logs)
    return {n: float(chance) for n, chance in zip(STARTS, chances, strict=True)}


def _scores(misfits: Floats, tilts: Floats) -> Floats:
    """Log-likelihood of every tilt, up to a constant, with the usual tilts' prior."""
    usual = -0.5 * (tilts / USUAL_TILT_DEG) ** 2
    return np.asarray(usual - SHARPNESS * np.log(misfits + MISFIT_FLOOR))


def _across(
    strip: Strip, outline: Outline, thread: Thread, pitch: float
) -> tuple[Floats, NDArray[np.complex128], float]:
    """The comb's amplitude and phase at parts of the radius, against the right wall's crests.

    Every row is stretched to its own radius, for a body that tapers; the mean radius is given too.
    """
    rows = strip.rows(thread.from_px, thread.to_px)
    z = strip.z_px[rows]
    z = z[: int(np.ptp(z) // pitch * pitch / strip.step_px)]  # whole turns only
    radius = _radius(outline, z, pitch)
    u = np.linspace(-INNER, INNER, max(2 * int(INNER * radius.max() / strip.step_px), 9))
    grey = strip.at(z[:, None], radius[:, None] * u)
    window = np.hanning(len(z) + 2)[1:-1]
    wave = np.exp(-2j * np.pi * z / pitch) * window
    # without what changes slowly: taken from the wave, which is one line, instead of the grey
    tone = (wave - _slow(wave, 0.7 * pitch / strip.step_px)) @ grey / window.sum()
    wall = np.exp(-2j * np.pi * thread.crests_right_px[0] / pitch)
    return u, tone * np.conj(wall), float(radius @ window / window.sum())


def _slow(wave: NDArray[np.complex128], rows: float) -> NDArray[np.complex128]:
    real, imaginary = blurred_lines(np.array([wave.real, wave.imag]), rows)
    return np.asarray(real + 1j * imaginary)


def _radius(outline: Outline, z_px: Floats, pitch: float) -> Floats:
    """Half width at each height, the thread averaged out."""
    step = outline.z_px[1] - outline.z_px[0]
    smooth = ndimage.gaussian_filter1d(outline.width_px, pitch / step, mode="nearest")
    return np.asarray(MIDDLE_OF_CREST / 2 * np.interp(z_px, outline.z_px, smooth))


def _misfits(
    u: Floats, comb: NDArray[np.complex128], starts: int, tilts_deg: Floats, turns: float
) -> Floats:
    """Part of the comb's power that the model leaves at every tilt, (tilts,).

    Each with the smooth weight across the body that suits it best.
    """
    k = 2 * np.pi * turns * np.tan(np.radians(tilts_deg))
    model = np.cos(starts * np.arccos(u) - k[:, None] * np.sqrt(1 - u**2))
    powers = u[:, None] ** [0, 2, 4]
    products = (powers[:, :, None] * powers[:, None]).reshape(len(u), -1)
    normal = (model**2 @ products).reshape(-1, 3, 3) + 1e-9 * np.eye(3)
    share = np.linalg.solve(normal, ((model * comb.real) @ powers)[..., None])
    weight = share[..., 0] @ powers.T
    left = np.sum((comb.real - model * weight) ** 2, axis=1)
    # a weight cannot be negative: that would be another model in disguise
    disguised = 0.5 * np.sum(comb.real**2) * np.mean(weight < 0, axis=1)
    return np.asarray((left + disguised) / (np.sum(np.abs(comb) ** 2) + 1e-15))


def _stagger_log(thread: Thread) -> Floats:
    """What the walls' stagger says of each number of starts: level for even, half for odd."""
    std = float(np.hypot(thread.stagger_std, STAGGER_FLOOR))
    level = np.exp(-0.5 * (thread.stagger / std) ** 2) + 0.01
    half = np.exp(-0.5 * ((abs(thread.stagger) - 0.5) / std) ** 2) + 0.01
    return np.asarray(np.log([half if n % 2 else level for n in STARTS]))


def _tilt(starts: int, chance: float, tilts: Floats, misfits: Floats, *, few: bool) -> Quantity:
    if starts == 0:
        return NotMeasured("rings do not tell the tilt of the beam")
    if chance < SURE:
        return NotMeasured("the thread's starts are not clear, so neither is the beam's tilt")
    scores = _scores(misfits, tilts)
    best = int(scores.argmax())
    tilt, misfit = float(tilts[best]), float(misfits[best])
    above = float(scores[best] - scores[np.abs(tilts - tilt) > OTHER_DEG].max())
    if above < STANDS_OUT:
        return NotMeasured(TOO_FAINT)
    # the width of the valley: where the misfit has grown by its own size
    valley = misfits < 2 * misfit + MISFIT_FLOOR
    near = np.abs(tilts - tilt) < 3.0
    width = float((valley & near).sum()) * STEP_DEG / 4
    model = MODEL_STD_DEG + MODEL_SHARE * abs(tilt)
    std = np.linalg.norm([model, width / 2, RIVAL_STD_DEG / above, FEW_STD_DEG * few])
    return Measured(tilt, float(std), "deg")


def starts_form(thread: Thread, helix: Helix) -> Form:
    """Odd, even or rings."""
    if not thread.pitch_px:
        return Form("not assessable", 1.0, thread.pitch_px.reason)
    chances = {
        "odd": helix.starts[1] + helix.starts[3],
        "even": helix.starts[2],
        "rings": helix.starts[0],
    }
    state = max(chances, key=lambda key: chances[key])
    return Form(state, float(np.clip(chances[state], 0.34, 0.97)))


def thread_and_rings(thread: Thread, helix: Helix, *, faint: bool = False) -> dict[str, Finding]:
    """Findings for a helical thread and for rings.

    `faint`: the bone swings by a good part of what the body stands out from it.
    """
    if not thread.pitch_px and "coarse" in thread.pitch_px.reason:
        unclear = Finding("not assessable", 1.0, thread.pitch_px.reason)
        return {"threads": unclear, "rings": unclear}
    if faint and LEAST_THROUGH_BONE < thread.probability < MOST_THROUGH_BONE:
        return dict.fromkeys(("threads", "rings"), Finding("not assessable", 1.0, AMONG_BONE))
    rings = helix.starts[0]
    if thread.probability >= SEEN and UNTOLD[0] < rings < UNTOLD[1]:
        return dict.fromkeys(("threads", "rings"), Finding("not assessable", 1.0, ALIKE))
    reason = "" if thread.pitch_px else thread.pitch_px.reason
    return {
        "threads": _finding(thread.probability * (1 - rings), reason),
        "rings": _finding(thread.probability * rings, reason),
    }


def _finding(present: float, reason: str) -> Finding:
    if present >= 0.5:
        return Finding("present", float(min(present, 0.99)))
    return Finding("absent", float(min(1 - present, 0.99)), reason)
