"""Thread or rings, and how many starts: from how the comb runs across the body.

The shadow of the near and the far side of an n-start thread add up, at distance u·R from the axis,
to a comb of strength T_n(u), the Chebyshev polynomial: 1 for rings (n = 0), u for one start,
2u² - 1 for two. So left and right are half a pitch apart for odd n, level for even n and for rings,
and two starts turn over near the middle while rings do not. (Derived; beam square to the axis.)
"""

from __future__ import annotations

import numpy as np
from scipy import ndimage, special

from features.finding import Finding, Form
from features.outline import Outline
from features.strip import Strip
from features.threads import Thread

STAGGER_FLOOR = 0.09  # of a pitch: what tilt and an uneven wall add


def ring_likeness(strip: Strip, outline: Outline, thread: Thread) -> float:
    """How far the comb keeps its phase through the middle of the body: 1 rings, -1 two starts."""
    if not thread.pitch_px:
        return 0.0
    pitch = thread.pitch_px.value
    half = float(np.median(outline.width_px)) / 2
    rows = strip.rows(thread.from_px, thread.to_px)
    grey = strip.pixels[rows]
    comb = grey - ndimage.gaussian_filter1d(grey, 0.6 * pitch / strip.step_px, axis=0)
    turn = np.exp(-2j * np.pi * strip.z_px[rows] / pitch)
    tone = (turn[:, None] * comb).mean(axis=0)
    wall = np.exp(-2j * np.pi * thread.crests_right_px[0] / pitch) if thread.crests_right_px else 1
    inner = tone[strip.columns(-0.45 * half, 0.45 * half)]
    agreement = np.real(inner * np.conj(wall)).mean() / max(float(np.abs(inner).mean()), 1e-9)
    outer = np.abs(tone[strip.columns(0.7 * half, 1.1 * half)]).max()
    strength = min(float(np.abs(inner).mean() / max(float(outer), 1e-9)) / 0.15, 1.0)
    return float(agreement * strength * _reliability(pitch / (2 * half)))


def _reliability(pitch_to_width: float) -> float:
    """How far the middle of the body can be believed for a comb this coarse.

    A beam a few degrees off square turns a fine comb over there, a coarse one hardly: the
    turn-over comes at tan(tilt) = pitch / (2 · width) (derived).
    """
    return float(np.clip((pitch_to_width - 0.10) / 0.12, 0.0, 1.0))


def start_probabilities(thread: Thread, likeness: float) -> dict[str, float]:
    """Probability of an odd number of starts, an even one, and rings."""
    std = float(np.hypot(thread.stagger_std, STAGGER_FLOOR))
    level = float(np.exp(-0.5 * (thread.stagger / std) ** 2)) + 0.01
    staggered = float(np.exp(-0.5 * ((abs(thread.stagger) - 0.5) / std) ** 2)) + 0.01
    rings = float(special.expit(5.0 * likeness - 0.8))  # rings are the rarer of the two
    total = level + staggered
    return {
        "odd": staggered / total,
        "even": level / total * (1 - rings),
        "rings": level / total * rings,
    }


def starts_form(thread: Thread, likeness: float) -> Form:
    """Odd, even or rings."""
    if not thread.pitch_px:
        return Form("not assessable", 1.0, thread.pitch_px.reason)
    chances = start_probabilities(thread, likeness)
    state = max(chances, key=lambda key: chances[key])
    return Form(state, float(np.clip(chances[state], 0.34, 0.97)))


def thread_and_rings(thread: Thread, likeness: float) -> dict[str, Finding]:
    """Findings for a helical thread and for rings."""
    if not thread.pitch_px and "coarse" in thread.pitch_px.reason:
        unclear = Finding("not assessable", 1.0, thread.pitch_px.reason)
        return {"threads": unclear, "rings": unclear}
    rings = start_probabilities(thread, likeness)["rings"] if thread.pitch_px else 0.3
    return {
        "threads": _finding(thread.probability * (1 - rings)),
        "rings": _finding(thread.probability * rings),
    }


def _finding(present: float) -> Finding:
    if present >= 0.5:
        return Finding("present", float(min(present, 0.99)))
    return Finding("absent", float(min(1 - present, 0.99)))
