"""Is there a thread on this body? Several looks at the walls, each judged by how the wall weaves.

The grey along the walls shows most threads; a shallow one shows in a narrower band, a sparse or a
very coarse one in the course of the wall's edge.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from operator import attrgetter

import numpy as np
from scipy import special

from features.bumps import roots_beside, roots_stagger
from features.outline import Outline
from features.quantity import NotMeasured
from features.strip import Strip
from features.thread_judge import (
    BELIEVED,
    BODY,
    SLOW_FOR_COARSE,
    SLOW_FOR_EDGE,
    SURE,
    Weave,
    edge_comb,
    judge_comb,
    thread_probability,
)
from features.threads import COARSEST, FINEST, Thread, strongest_comb, wall_comb
from features.whole_turns import whole_turns

SHALLOW = 0.4  # of the usual band along the wall
FINEST_OF_ALL = 0.035  # of the body width: on the widest bodies, tried where turns are seen
COARSEST_OF_ALL = 1.45  # of the body width: the coarsest wood-screw like thread on a thin body
# of the length, over which a sure look reaches if it is the last: what weaves finely over the neck
# alone stands above a coarser thread
FAR = 0.3
# of a pitch: bone and bumps show every look a pitch of its own, a faint thread one; what so many
# that agree add to the log-odds, and what they make it at most (simulated)
SAME_PITCH, AGREEING, AGREED, AGREED_MOST = 0.03, 3, 2.0, 0.85
ROOTS_BESIDE = 0.9  # turns above and below the middle of both walls, no comb through them
UNEVEN = NotMeasured("turns are seen, too few or too uneven on their way to tell the pitch")
DEPTHS = np.geomspace(0.002, 0.3, 60)  # of the body width: thread depths tried
LIKELY = attrgetter("probability")


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
        middle = float(
            outline.z_px.mean()
        )  # what runs along the neck alone is not the body's thread
        if fine.probability >= BELIEVED and fine.from_px < middle < fine.to_px:
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


def _within_ends(outline: Outline) -> tuple[float, float]:
    length = float(np.ptp(outline.z_px))
    return outline.z_px[0] + 0.05 * length, outline.z_px[0] + 0.95 * length
