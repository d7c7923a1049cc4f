"""The platform line and the neck below it."""

from __future__ import annotations

import math

import numpy as np

from features.apex import find_end
from features.finding import Form
from features.lone_edge import stray_chance
from features.marked import joined, meet
from features.marks import ImplantMark
from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.slant import Slant
from features.smooth_wall import smooth_wall_at, straight_line
from features.strip import Strip
from features.threads import Thread
from features.widths import Walls

# of the body's width run up to it; a body with a curved taper comes near either (simulated)
FLARED, BACK_TAPERED = 1.05, 0.93
LOGISTIC = math.pi / math.sqrt(3)  # standard deviation of a logistic step of width 1
RIM_SHARE = 0.5  # of the radius: an ellipse's height where the shoulders are looked at (simulated)
RIM_STD_PX = 0.3  # on either side: a rim is rounded or bevelled by so much
RIM_REACH = 0.012  # of the length: so far to either side a neck is looked at below its rim
BENT = 0.3  # of what a longer look at the wall changes is not known (simulated)
ENDS_CLICKS = 2.1  # the distance of two marks against one click, 2-6 px off each: derived
SAME_RIM = 3.5  # standard deviations between two rims that are the same
FAR_CLICKS = 4.0  # standard deviations of a click: farther off is worth saying
RIM_HEIGHT_PX = 1.0  # a rim is rounded or bevelled by so much (simulated)
STRAY_RIM = 0.08  # how often something else is taken for the rim's walls (simulated)
NO_EDGE = "the platform's edge does not stand out on the film, so it was taken where it was marked"
JOINT_FACTOR = {"seen": 1.0, "guessed": 2.0, "hidden": 3.0}  # how much wider a click may be off


def find_edge(strip: Strip, outline: Outline, mark: ImplantMark) -> tuple[Quantity, float]:
    """Height of the edge of the platform's shoulders, px, and how often it is another part's."""
    length = strip.axis.length_px
    half = outline.width_between(0.02 * length, 0.12 * length) / 2
    shoulders = ((-0.92 * half, -0.72 * half), (0.72 * half, 0.92 * half))
    edge = find_end(strip, shoulders, near_px=0.0, toward=-1.0, click_px=mark.std_px)
    return edge, stray_chance(strip, shoulders, edge.value, toward=-1.0) if edge else 1.0


def weigh_edge(
    found: tuple[Quantity, float], mark: ImplantMark, *, overhang_px: float, slant: Slant
) -> tuple[Measured, float, str]:
    """What the edge tells of the platform's height beside the mark.

    Parameters
    ----------
    found : tuple
        From `find_edge`.
    overhang_px : float
        How far a beam along the axis would throw that edge off the platform's plane; a mark is
        taken to be on the plane itself.
    slant : Slant

    Returns
    -------
    edge : Measured in px
        Between the edge found and the mark.
    overhang_px : float
        How far a beam along the axis would throw that.
    note : str
        Empty, or why the mark itself was kept, or how far off it the edge was found.
    """
    click = from_parts(0.0, "px", marks=mark.std_px * JOINT_FACTOR[mark.joint])
    seen, stray = found
    if not seen or mark.joint == "hidden":
        return click, 0.0, NO_EDGE
    # a shoulder beside a joint that was only guessed may be another part's
    unsure = (JOINT_FACTOR[mark.joint] - 1) * mark.std_px
    edge = from_parts(seen.value, "px", **parts_of(seen), joint=unsure, rim=RIM_HEIGHT_PX)
    plane = platform_plane(edge, overhang_px, slant)
    meeting = meet(plane, click, stray=stray)
    note = ""
    if meeting.doubt > 0.5:
        note = (
            f"an edge {abs(seen.value):.0f} px {_way(seen.value)} the marked platform stands out "
            "more; the platform was taken where it was marked: check it"
        )
    elif abs(seen.value) > FAR_CLICKS * mark.std_px:
        note = _found_off("platform", seen.value)
    return joined(edge, click, meeting), meeting.share * overhang_px, note


def rim_overhang(outline: Outline) -> float:
    """How far a beam along the axis would throw the seen edge off the platform's plane, px.

    The shoulders are looked at near the rim, where half the radius is left of the ellipse.
    """
    return RIM_SHARE * outline.typical_width_px / 2


def platform_plane(edge: Measured, overhang_px: float, slant: Slant) -> Measured:
    """Height of the platform's plane under the near side of its rim."""
    under, std = slant.mean(overhang_px * slant.overhang)
    return from_parts(edge.value + under, "px", **parts_of(edge), tilt=std)


def tip_note(tip_px: float, mark: ImplantMark) -> str:
    """Empty, or how far from its mark the apex was found."""
    off = tip_px - mark.length_px
    return _found_off("apex", off) if abs(off) > FAR_CLICKS * mark.std_px else ""


def _found_off(what: str, off_px: float) -> str:
    return f"the {what} was found {abs(off_px):.0f} px {_way(off_px)} its mark; check it"


def _way(off_px: float) -> str:
    return "farther apically than" if off_px > 0 else "farther coronally than"


def platform_width(
    walls: Walls, mark: ImplantMark, *, platform: Measured, length_px: float
) -> Quantity:
    """Full width at the platform rim, px: the neck's straight wall run out to the platform.

    The marked ends count by how sure they are: little beside a clear wall, more on a slope that
    turns a row's error in height into a width. NotMeasured where what was found and what was
    marked differ by more than both may: a rim under a sloping shoulder, or a thin flange, is then
    seen by the eye and not by the walls.
    """
    found = _rim(walls, platform=platform, length_px=length_px)
    if not found:
        return found
    marked, std = math.dist(*mark.platform_px), ENDS_CLICKS * mark.std_px
    if abs(found.value - marked) > SAME_RIM * math.hypot(found.std, std):
        return NotMeasured(
            f"the walls below the platform lie {found.value:.0f} px apart, the marked ends "
            f"{marked:.0f} px apart; mark the two ends of the rim again"
        )
    click = from_parts(marked, "px", marks=std)
    return joined(found, click, meet(found, click, stray=STRAY_RIM))


def _rim(walls: Walls, *, platform: Measured, length_px: float) -> Quantity:
    reach = max(RIM_REACH * length_px, 4.0)
    near = platform.value + reach + 1.0
    total, edges, run_out, slopes = 0.0, [], 0.0, 0.0
    for wall in (walls.left, walls.right):
        line = straight_line(walls.outline, wall.side, near - reach, near + reach)
        wide = straight_line(walls.outline, wall.side, near - reach, near + 4 * reach)
        edge = smooth_wall_at(walls.strip, walls.outline, wall.side, near, reach)
        if not edge or line is None or wide is None:
            return NotMeasured("the platform's rim is not clear against what lies beside it")
        total += edge.value + line.slope * (platform.value - near)
        edges.append(edge)
        slopes += line.slope
        bent = BENT * (line.at(platform.value) - wide.at(platform.value))
        run_out += bent**2 + (0.15 * line.slope * reach) ** 2 + RIM_STD_PX**2
    parts = parts_of(*edges) | {"rim": math.sqrt(run_out), "platform": abs(slopes) * platform.std}
    return from_parts(total, "px", **parts)


def collar_form(platform: Quantity, neck: Quantity) -> Form:
    """Flush, flared or back-tapered, from the platform against the body run up to it.

    `neck`: the width the body would have at the platform if it went on as it does below.
    """
    if not platform or not neck:
        return Form("not assessable", 1.0, "the neck or the body could not be measured")
    ratio = platform.value / neck.value
    unsure = ratio * math.hypot(platform.std / platform.value, neck.std / neck.value) / LOGISTIC
    scores = {
        "flared": _step(ratio, FLARED, math.hypot(0.02, unsure)),
        "back-tapered": _step(-ratio, -BACK_TAPERED, math.hypot(0.02, unsure)),
    }
    scores["flush"] = max(1.0 - sum(scores.values()), 0.02)
    state = max(scores, key=lambda key: scores[key])
    return Form(state, float(np.clip(scores[state] / sum(scores.values()), 0.34, 0.95)))


def neck(coronal: Quantity, apical: Quantity) -> Quantity:
    """Width the body would have at the platform if it went on as it runs below, px."""
    if not coronal or not apical:
        return NotMeasured("the body's width could not be measured at both heights")
    grows = float(np.clip((coronal.value - apical.value) / 2, 0.0, 0.08 * coronal.value))
    return from_parts(coronal.value + grows, "px", **parts_of(coronal))


def _step(value: float, middle: float, width: float) -> float:
    return float(1 / (1 + np.exp(-(value - middle) / width)))


def collar_height(
    thread: Thread, fine: Thread | None, *, platform: Measured, length_px: float
) -> Quantity:
    """Smooth height from the platform to the first thread, px."""
    starts = [t for t in (thread, fine) if t is not None and t.pitch_px]
    if not starts:
        return NotMeasured("there is no thread for the smooth neck to end at")
    first = min(starts, key=lambda t: t.from_px)
    pitch = first.pitch_px.value if first.pitch_px else 0.0
    height = max(first.from_px - platform.value, 0.0)
    began = 0.4 * pitch + 0.01 * length_px
    return from_parts(height, "px", **parts_of(platform), thread_start=began)
