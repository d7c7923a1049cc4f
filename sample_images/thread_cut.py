"""Where threads run on a body, how deep, and with which flanks."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from sample_images.bore import Bore
from sample_images.sleeve import Sleeve
from sample_images.solids import Profile, Thread, v_flats

WALL_MM = 0.22  # left between thread roots and bore where the depth would otherwise cut through
TURNS_NEEDED = 2.0  # a run shorter than this is no thread
STEEP, SLANT = 0.12, 0.88  # share of the flanks' length that a buttress thread's load flank has


def cut_threads(
    sizes: Mapping[str, float],
    forms: Mapping[str, str],
    envelope: Profile,
    bore: Bore,
    share: float,
    sleeve: Sleeve | None = None,
) -> tuple[Thread, ...]:
    """Micro-threads (where there are any), then the body's thread or rings; () where smooth."""
    if forms["thread"] == "none":
        return ()
    first = sizes.get("collar_height_mm", 0.0)
    threads = []
    if forms["micro_threads"] == "yes":
        pitch, depth = sizes["micro_pitch_mm"], sizes["micro_depth_mm"]
        fine = _run(pitch, depth, first, sizes["micro_height_mm"])
        threads.append(_thread("v", fine, pitch, depth, 1, share))
        first += sizes["micro_height_mm"]
    pitch, depth = sizes["thread_pitch_mm"], sizes["thread_depth_mm"]
    last = envelope.end_mm - max(sizes["apex_round_mm"], 0.2) - sizes.get("apex_plain_mm", 0.0)
    starts = 0 if forms["thread"] == "rings" else int(forms["starts"])
    cut = _run(pitch, depth, first, last - first)
    if "thread_deepening" in sizes or "coronal_width_mm" in sizes:
        cut = _deepened(cut, envelope, bore, sizes.get("thread_deepening", 0.0))
    if sleeve is not None:
        cut = _interrupted(cut, sleeve.top_mm, sleeve.end_mm)
    return (*threads, _thread(forms["thread"], cut, pitch, depth, starts, share))


def turns_cut(thread: Thread) -> float:
    """How many pitches long a thread's run is."""
    return (thread.depth.end_mm - thread.depth.top_mm) / thread.pitch_mm


def _run(pitch: float, depth: float, first: float, height: float) -> Profile:
    """Depth along the axis, running in and out over half a pitch."""
    height = max(height, 0.03)
    run = min(pitch / 2, height / 3)
    z = (first, first + run, first + height - run, first + height)
    return Profile(z, (0.0, depth, depth, 0.0))


def _deepened(cut: Profile, envelope: Profile, bore: Bore, growth: float) -> Profile:
    """Let the depth grow downward about mid length, and leave a wall round the bore."""
    z = np.unique(np.concatenate([cut.z_mm, np.linspace(cut.top_mm, cut.end_mm, 160)]))
    middle, length = envelope.end_mm / 2, envelope.end_mm
    deep = cut(z) * np.clip(1 + growth * (z - middle) / length, 0.15, None)
    room = envelope(z) - bore.reach_mm(z) - WALL_MM
    at_least = 0.2 * cut(z)  # shallower than this and the body has no room for the bore at all
    deep = np.minimum(deep, np.maximum(room, at_least))
    return Profile(tuple(map(float, z)), tuple(map(float, deep)))


def _interrupted(cut: Profile, top: float, end: float) -> Profile:
    """Leave a band without thread."""
    z = np.unique(np.concatenate([cut.z_mm, [top - 0.1, top, end, end + 0.1]]))
    z = z[(z >= cut.top_mm) & (z <= cut.end_mm)]
    deep = np.where((z >= top) & (z <= end), 0.0, cut(z))
    return Profile(tuple(map(float, z)), tuple(map(float, deep)))


def _thread(
    form: str, cut: Profile, pitch: float, depth: float, starts: int, share: float
) -> Thread:
    crest, root = v_flats(pitch, depth)
    apical = 0.5
    if form == "square":
        crest, root = 0.36, 0.36
    if form == "rings":
        crest, root = 0.26, 0.40
        share = 0.0
    if form in ("buttress", "reverse buttress"):
        crest, root = 0.14, 0.26
        apical = STEEP if form == "buttress" else SLANT
    start = cut.top_mm + share * pitch
    return Thread(pitch, starts, crest, root, cut, form == "rounded", start, apical)
