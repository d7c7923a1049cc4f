"""A finer thread at the neck, above the body's."""

from __future__ import annotations

from dataclasses import replace

from features.finding import Finding
from features.outline import Outline
from features.quantity import Measured
from features.strip import Strip
from features.thread_judge import Judge, edge_comb, follow_comb, judge_comb
from features.threads import FINEST as BODY_FINEST
from features.threads import FINEST_PX, Thread, strongest_comb, wall_comb

NARROW = 0.2  # of the usual band along the wall: a fine thread is that shallow
SLOW = 0.045  # of the body width
FINEST, FINEST_SHOWN = 0.03, 0.055  # of the body width: looked for; below the second none shows
FINER = 0.72  # of the body's pitch: nearer, it is the body's own
WIDEST = 0.2  # of the body width
UNTHREADED = 0.2  # of the body width: stands for the pitch of a body without a thread
RUN_IN = 0.3  # of the body's pitch: how far its run-in may be taken for the neck's
NECK, NECK_ALONE = 0.4, 0.36  # of the length: where a neck ends at the latest
SHORTEST = 20.0  # px along the axis
# chance of such turns lower down: grains and rough walls reach 0.65 (1100 simulated films)
SURELY = 0.8
# Logistic regression on 221 simulated clinical films, 28 of them with such a thread in plain view;
# in five-fold cross-validation 22 were found and 3 of 193 others taken for one.
AT_NECK = Judge(-8.0, 2.2, 2.25, 3.0, 4.0, deep_from=0.06, flattest=0.005, crests_enough=8)


def micro_threads(strip: Strip, outline: Outline, body: Thread) -> tuple[Finding, Thread | None]:
    """Look for a finer comb at the neck than on the body."""
    if not _shows(outline):
        why = "the film is too coarse to show a fine thread at the neck"
        return Finding("not assessable", 1.0, why), None
    best, best_chance = None, 0.02
    for found in _looks(strip, outline, body):
        chance = _chance(found, outline)
        if chance > best_chance:
            best, best_chance = found, chance
    if best is None or best_chance < 0.5:
        return Finding("absent", 1 - best_chance, "no finer thread is seen at the neck"), None
    return Finding("present", best_chance), replace(best, probability=best_chance)


def _looks(strip: Strip, outline: Outline, body: Thread) -> list[Thread]:
    """The strongest fine combs along the neck's walls."""
    length, width = strip.axis.length_px, outline.typical_width_px
    coarse, bottom = UNTHREADED * width, NECK_ALONE * length
    if isinstance(body.pitch_px, Measured):
        coarse = body.pitch_px.value
        bottom = min(NECK * length, body.from_px + RUN_IN * coarse)
    return _combs(strip, outline, (0.01 * length, bottom), min(FINER * coarse / width, WIDEST))


def runs_on_at(strip: Strip, outline: Outline, between_px: tuple[float, float]) -> bool:
    """Whether turns finer than a body's thread is looked for run along its walls there."""
    found = _combs(strip, outline, between_px, BODY_FINEST) if _shows(outline) else []
    return any(_chance(one, outline) > SURELY for one in found)


def _shows(outline: Outline) -> bool:
    """Whether a film of this scale shows so fine a thread."""
    return FINEST_SHOWN * outline.typical_width_px >= FINEST_PX


def _combs(
    strip: Strip, outline: Outline, between_px: tuple[float, float], coarsest: float
) -> list[Thread]:
    """The strongest fine comb of the grey along the walls, and of their edge; none if too short."""
    if between_px[1] - between_px[0] < SHORTEST:
        return []
    combs = (
        wall_comb(strip, outline, *between_px, fineness=NARROW),
        edge_comb(outline, *between_px, slow=SLOW),
    )
    width = outline.typical_width_px
    return [strongest_comb(c, width_px=width, finest=FINEST, coarsest=coarsest) for c in combs]


def _chance(fine: Thread, outline: Outline) -> float:
    if not isinstance(fine.pitch_px, Measured):
        return 0.0
    weave = follow_comb(outline, fine, fine.pitch_px.value)
    return judge_comb(fine, weave, weave.amplitude_px / fine.pitch_px.value, AT_NECK)
