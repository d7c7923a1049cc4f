"""Is there a thread on this body? Several looks at the walls, each judged by how the wall weaves.

The grey along the walls shows most threads; a shallow one shows in a narrower band, a sparse or a
very coarse one in the course of the wall's edge. Whatever repeats is then held to what only a
thread does: the edge itself goes out *and in again*, many times over, and left and right stand
level or half a turn apart. Bone, rows of holes, steps and beads fail on one or the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, special

from features.bumps import roots_beside, roots_stagger
from features.outline import Outline
from features.quantity import Measured, NotMeasured
from features.strip import Strip
from features.threads import (
    COARSEST,
    FINEST,
    Comb,
    Thread,
    comb_share,
    strongest_comb,
    wall_comb,
    without_slow,
)

Floats = NDArray[np.float64]

SHALLOW = 0.4  # of the usual band along the wall
SLOW_FOR_EDGE, SLOW_FOR_COARSE = 0.22, 0.4  # of the body width
FINEST_OF_ALL = 0.035  # of the body width: on the widest bodies, tried where turns are seen
COARSEST_OF_ALL = 1.45  # of the body width: the coarsest wood-screw like thread on a thin body
BELIEVED = 0.75  # three times as likely as not: below, noise can look like a thread (simulated)
OCTAVE = 1.5  # of the edge's share; 0.6-1.4 for threads read right, 2-20 at half pitch (simulated)
CLEARLY = 2.0  # … again: then most of its wave is as long as the whole turn, whatever the grey says
TWELFTH = 10.0  # … of a third; below 6 for threads read right, 25-31 at a third (simulated)
# probability, and part of the length, from which no further look is taken: what weaves finely over
# the neck alone stands above a coarser thread
SURE, FAR = 0.9, 0.3
# of a pitch: bone and bumps show every look a pitch of its own, a faint thread one; what so many
# that agree add to the log-odds, and what they make it at most (simulated)
SAME_PITCH, AGREEING, AGREED, AGREED_MOST = 0.03, 3, 2.0, 0.85
ROOTS_BESIDE = 0.9  # turns above and below the middle of both walls, no comb through them
UNEVEN = NotMeasured("turns are seen, too few or too uneven on their way to tell the pitch")
MORE_LIKELY = 0.5  # enough for the whole turn of a thread that is believed
STAGGER_FLOOR = 0.09  # of a pitch: what an uneven wall adds
INCOHERENT = 0.02  # likelihood of walls that stand neither level nor half a turn apart
DEPTHS = np.geomspace(0.002, 0.3, 60)  # of the body width: thread depths tried
UNTOLD = 0.3  # of a pitch: a stagger known no better says nothing
WEAVE_ENOUGH = 0.25
LIKELY = attrgetter("probability")


@dataclass(frozen=True, slots=True)
class Judge:
    """Log-odds of a comb being a thread's: a base, and what each of its properties adds.

    Attributes
    ----------
    base, share, deep, weaves, many : float
    deep_from, flattest : float
        Amplitude of the edge, in body widths or pitches, that counts neither way; the least told.
    crests_enough : int
    """

    base: float
    share: float
    deep: float
    weaves: float
    many: float
    deep_from: float
    flattest: float
    crests_enough: int


# Logistic regression on 565 simulated clinical films and 70 of noise alone, each counting once. In
# ten-fold cross-validation 427 of 442 threads and rows of rings were believed, and 1 of 123 smooth
# bodies and 2 of the 70 pictures of noise.
BODY = Judge(-15.35, 9.1, 1.9, 7.05, 5.2, deep_from=0.012, flattest=5e-4, crests_enough=12)


@dataclass(frozen=True, slots=True)
class Weave:
    """How the edge of both walls follows a comb.

    Attributes
    ----------
    share : float
        Part of its variance that the comb explains.
    amplitude_px : float
    back : float
        Part of its whole way, in and out, that leads outward toward the apex: about a half for a
        thread, none for steps and shoulders.
    """

    share: float
    amplitude_px: float
    back: float


def search_thread(strip: Strip, outline: Outline) -> Thread:
    """Find the thread if there is one; its `probability` is that of being one.

    Parameters
    ----------
    strip, outline
        From `follow_implant`.
    """
    looks: list[Thread] = []
    for found in _looks(strip, outline):
        if isinstance(found.pitch_px, NotMeasured):
            if "coarse" in found.pitch_px.reason and not looks:
                return found
            continue
        looks.append(replace(found, probability=thread_probability(found, outline)))
        best = max(looks, key=LIKELY)
        far = best.to_px - best.from_px
        if best.probability > SURE and far > FAR * strip.axis.length_px:
            return whole_turns(best, outline)
    if not looks:
        return _without_pitch(outline, 0.02, 0.0)
    best = max(looks, key=LIKELY)
    if best.probability < BELIEVED:
        return _without_pitch(outline, _agreed(looks), best.share)
    return whole_turns(best, outline)


def _without_pitch(outline: Outline, chance: float, share: float) -> Thread:
    """A thread that is seen and no more, or none."""
    if roots_beside(outline, float(outline.z_px.mean())):
        fine = _on_a_wide_body(outline)
        if fine.probability >= BELIEVED:
            return fine
        stagger, std = roots_stagger(outline) or (0.0, 0.5)
        return Thread(UNEVEN, ROOTS_BESIDE, share, stagger=stagger, stagger_std=std)
    if chance >= BELIEVED:
        return Thread(UNEVEN, min(chance, AGREED_MOST), share)
    return Thread(NotMeasured(_none_seen(outline)), min(chance, 0.5), share)


def _on_a_wide_body(outline: Outline) -> Thread:
    """The strongest comb finer than a body of usual width has, told by the edge."""
    width = outline.typical_width_px
    comb = edge_comb(outline, *_within_ends(outline), slow=SLOW_FOR_EDGE)
    found = strongest_comb(comb, width_px=width, finest=FINEST_OF_ALL, coarsest=FINEST)
    return replace(found, probability=thread_probability(found, outline))


def _agreed(looks: list[Thread]) -> float:
    """Probability of the likeliest look, told by how many others find its pitch as well."""
    pitches = np.array([look.pitch_px.value for look in looks if look.pitch_px])
    weights = special.logit([look.probability for look in looks])
    alike = np.abs(pitches[:, None] / pitches - 1) < SAME_PITCH
    return float(special.expit(np.max(weights + AGREED * (alike.sum(axis=0) >= AGREEING))))


def whole_turns(thread: Thread, outline: Outline) -> Thread:
    """Double or treble a pitch that was read at a half or a third of a turn.

    A thread with wide, flat valleys or crests repeats so in grey; its edge tells the whole turn.
    """
    for parts, more in ((2, OCTAVE), (3, TWELFTH)):
        whole = _whole_turn(thread, outline, parts, more)
        if whole is not None:
            return whole
    return thread


def _whole_turn(thread: Thread, outline: Outline, parts: int, more: float) -> Thread | None:
    """The thread so many times as coarse, where the edge follows it so many times as well."""
    if not isinstance(thread.pitch_px, Measured):
        return None
    pitch, width = thread.pitch_px.value, outline.typical_width_px
    slow = min(SLOW_FOR_COARSE, 0.8 * parts * pitch / width)
    comb = edge_comb(outline, thread.from_px, thread.to_px, slow=slow)
    part, whole = (comb_share(comb.z_px, (comb.left, comb.right), n * pitch) for n in (1, parts))
    if whole < more * part:
        return None
    near = {"finest": 0.85 * parts * pitch / width, "coarsest": 1.2 * parts * pitch / width}
    found = strongest_comb(comb, width_px=width, **near)
    if not isinstance(found.pitch_px, Measured):
        return None
    clearly = whole > max(more, CLEARLY) * part
    if found.share < thread.share and not clearly:
        return None  # an edge that is lost among the turns weaves at any pitch
    chance = thread_probability(found, outline)
    if chance < (MORE_LIKELY if clearly else BELIEVED):
        return None
    return replace(found, probability=max(chance, thread.probability))


def _none_seen(outline: Outline) -> str:
    least = 100 * least_depth_px(outline) / outline.typical_width_px
    return (
        "no regular thread stands out on the walls; one deeper than "
        f"{least:.1f} % of the body's width would have"
    )


def least_depth_px(outline: Outline) -> float:
    """Depth of the shallowest plain thread (a wave of a dozen turns) that would have been believed.

    Told by the judge of combs itself, from how far the edges of these walls scatter.
    """
    comb = edge_comb(outline, *_within_ends(outline), slow=SLOW_FOR_EDGE)
    scatter = 1.4826 * float(np.median(np.abs(np.concatenate([comb.left, comb.right]))))
    pitch = NotMeasured("not a thread but the thought of one")
    crests = tuple(float(n) for n in range(BODY.crests_enough))
    for deep in DEPTHS:
        amplitude = deep / 2 * outline.typical_width_px
        share = amplitude**2 / (amplitude**2 + 2 * scatter**2 + 1e-12)
        wave = Thread(
            pitch, 0.0, share, stagger_std=0.05, crests_left_px=crests, crests_right_px=crests
        )
        if judge_comb(wave, Weave(share, amplitude, 0.5), deep / 2, BODY) > SURE:
            return float(deep * outline.typical_width_px)
    return float(DEPTHS[-1] * outline.typical_width_px)


def _looks(strip: Strip, outline: Outline) -> Iterator[Thread]:
    """The strongest comb of each look, cheapest and commonest first."""
    length, width = strip.axis.length_px, outline.typical_width_px
    ends = (0.05 * length, 0.95 * length)
    yield strongest_comb(wall_comb(strip, outline, *ends), width_px=width)
    near = wall_comb(strip, outline, *ends, fineness=SHALLOW)
    yield strongest_comb(near, width_px=width)
    yield strongest_comb(edge_comb(outline, *ends, slow=SLOW_FOR_EDGE), width_px=width)
    for comb in (
        wall_comb(strip, outline, *ends, slow=SLOW_FOR_COARSE),
        edge_comb(outline, *ends, slow=SLOW_FOR_COARSE),
    ):
        yield strongest_comb(comb, width_px=width, finest=COARSEST, coarsest=COARSEST_OF_ALL)


def edge_comb(outline: Outline, from_px: float, to_px: float, *, slow: float) -> Comb:
    """How far either wall's edge stands out, px, without what changes over `slow` body widths."""
    rows = outline.between(from_px, to_px)
    step = outline.z_px[1] - outline.z_px[0]
    many = slow * outline.typical_width_px / step
    left, right = (without_slow(wall, many)[rows] for wall in (outline.left_px, outline.right_px))
    return Comb(outline.z_px[rows], left, right)


def _within_ends(outline: Outline) -> tuple[float, float]:
    length = float(np.ptp(outline.z_px))
    return outline.z_px[0] + 0.05 * length, outline.z_px[0] + 0.95 * length


def follow_comb(outline: Outline, thread: Thread, pitch_px: float) -> Weave:
    """How the edge follows a comb within its zone."""
    rows = outline.between(thread.from_px, thread.to_px)
    step = outline.z_px[1] - outline.z_px[0]
    sides, back, way = [], 0.0, 0.0
    for wall in (outline.left_px, outline.right_px):
        steps = np.diff(ndimage.gaussian_filter1d(wall, 0.1 * pitch_px / step)[rows])
        back += float(steps[steps > 0].sum())
        way += float(np.abs(steps).sum())
        sides.append(without_slow(wall, 0.8 * pitch_px / step)[rows])
    share = comb_share(outline.z_px[rows], (sides[0], sides[1]), pitch_px)
    variance = float(np.mean([np.var(side) for side in sides]))
    return Weave(share, float(np.sqrt(2 * max(share, 0.0) * variance)), back / max(way, 1e-9))


def thread_probability(thread: Thread, outline: Outline) -> float:
    """That a comb is a thread's, 0.01 to 0.99."""
    if not isinstance(thread.pitch_px, Measured):
        return 0.02
    weave = follow_comb(outline, thread, thread.pitch_px.value)
    deep = weave.amplitude_px / outline.typical_width_px
    return judge_comb(thread, weave, deep, BODY)


def judge_comb(thread: Thread, weave: Weave, deep: float, judge: Judge) -> float:
    """Probability by one `judge`; `deep` is the edge's amplitude in the judge's unit."""
    crests = min(len(thread.crests_left_px), len(thread.crests_right_px))
    weight = (
        judge.base
        + judge.share * max(thread.share, weave.share)
        + judge.deep * float(np.log(max(deep, judge.flattest) / judge.deep_from))
        + judge.weaves * min(weave.back / WEAVE_ENOUGH, 1.0)
        + judge.many * min(crests / judge.crests_enough, 1.0)
        + _level_or_half(thread)
    )
    return float(np.clip(special.expit(weight), 0.01, 0.99))


def _level_or_half(thread: Thread) -> float:
    """Log-likelihood ratio of the walls' stagger: 0 or half a pitch, against anything."""
    std = float(np.hypot(thread.stagger_std, STAGGER_FLOOR))
    off = min(abs(thread.stagger), 0.5 - abs(thread.stagger))
    evenly = 4.0  # `off` lies anywhere between 0 and 0.25
    folded = 2 / np.sqrt(2 * np.pi) / std * np.exp(-0.5 * (off / std) ** 2)
    return float(np.log(folded / evenly + INCOHERENT)) if std < UNTOLD else 0.0
