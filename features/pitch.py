"""The pitch, read three ways from the turns that are whole.

A thread runs in and out over half a turn, and a comb's ends are where its slow part is least
known; both bend the phase, most where turns are few. So half a turn is left off at either end and
the slow part is fitted together with the comb, not filtered away: on the edge of the walls, on the
grey close to them and on the grey farther about. Each fails on other films; the median hardly does.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from features.outline import Outline
from features.quantity import Measured, from_parts
from features.strip import Strip
from features.thread_search import SHALLOW, edge_comb
from features.threads import Comb, Thread, wall_comb

Floats = NDArray[np.float64]

RUN_OUT = 0.5  # turns at either end that may be cut short
LEAST_TURNS = 2.2  # that stay
ROWS_A_TURN = 16  # finer than three harmonics need
WIDEST = 0.07  # of the pitch: how far off the first estimate may be
WITHIN = 0.6  # turns over the whole comb: beyond it lies another count of turns
TRIALS = 15
# of the pitch; and shares of what the three differ by, and of the first fit's noise: on 174
# simulated threads the 95 % interval then holds the truth 95 times in a hundred
FLOOR, APART, NOISE = 0.0015, 0.5, 0.3


def refine_pitch(strip: Strip, outline: Outline, thread: Thread) -> Thread:
    """The thread with its pitch read anew, and its crests moved to suit."""
    first = thread.pitch_px
    if not isinstance(first, Measured):
        return thread
    turns = (thread.to_px - thread.from_px) / first.value
    cut = first.value * float(np.clip((turns - LEAST_TURNS) / 2, 0.0, RUN_OUT))
    ends = (thread.from_px + cut, thread.to_px - cut)
    ways = (
        (edge_comb(outline, *ends, slow=None), 1, 2),
        (wall_comb(strip, outline, *ends, fineness=SHALLOW, slow=None), 1, 2),
        (wall_comb(strip, outline, *ends, slow=None), 3, 3),
    )
    found = [_pitch(comb, first.value, slow, waves) for comb, slow, waves in ways]
    pitch = float(np.median(found))
    parts = {
        "edge": float(np.hypot(FLOOR * pitch, NOISE * first.std)),
        "uneven_thread": APART * float(np.std(found, ddof=1)),
    }
    middle, stretch = (thread.from_px + thread.to_px) / 2, pitch / first.value
    left, right = (
        tuple(middle + (crest - middle) * stretch for crest in crests)
        for crests in (thread.crests_left_px, thread.crests_right_px)
    )
    return replace(
        thread,
        pitch_px=from_parts(pitch, "px", **parts),
        crests_left_px=left,
        crests_right_px=right,
    )


def _pitch(comb: Comb, near_px: float, slow: int, waves: int) -> float:
    """Least squares of a comb with `waves` harmonics over a polynomial, both walls at once."""
    step = float(comb.z_px[1] - comb.z_px[0])
    every = max(int(near_px / ROWS_A_TURN / step), 1)
    z = comb.z_px[::every]
    walls = np.stack([comb.left[::every], comb.right[::every]], axis=1)

    pitch, apart = near_px, min(WIDEST, WITHIN * near_px / max(float(np.ptp(z)), near_px)) * near_px
    for _ in range(2):  # once among whole turns, once around the best of them
        trials = pitch + apart * np.linspace(-1, 1, TRIALS)
        left = _left_over(z, walls, trials, slow, waves)
        best = int(np.clip(np.argmin(left), 1, TRIALS - 2))
        pitch, apart = float(trials[best]), float(trials[1] - trials[0])
    before, here, after = left[best - 1 : best + 2]
    bend = max(float(before - 2 * here + after), 1e-12)
    return pitch + apart * float(np.clip(0.5 * (before - after) / bend, -1.0, 1.0))


def _left_over(z: Floats, walls: Floats, pitches: Floats, slow: int, waves: int) -> Floats:
    """Square sum that each pitch leaves of the walls, (Z, 2), up to a constant."""
    basis, _ = np.linalg.qr(np.stack([_design(z, pitch, slow, waves) for pitch in pitches]))
    return np.asarray(-np.sum((basis.transpose(0, 2, 1) @ walls) ** 2, axis=(1, 2)))


def _design(z: Floats, pitch: float, slow: int, waves: int) -> Floats:
    place = 2 * (z - z[0]) / max(float(np.ptp(z)), 1.0) - 1
    phase = 2 * np.pi * z / pitch
    comb = [f(k * phase) for k in range(1, waves + 1) for f in (np.cos, np.sin)]
    return np.stack([*(place**k for k in range(slow + 1)), *comb], axis=1)
