"""The platform line and the neck below it."""

from __future__ import annotations

import math

import numpy as np

from features.apex import find_end
from features.finding import Form
from features.marks import ImplantMark
from features.outline import Outline
from features.quantity import Measured, NotMeasured, Quantity, from_parts, parts_of
from features.strip import Strip
from features.threads import Thread
from features.widths import Walls, smooth_wall_at, straight_line

RIM_STD_PX = 0.3  # on either side: a rim is rounded or bevelled by so much
CLICK_REACH = 6.0  # standard deviations of a click between two rims that are the same
FAR_CLICKS = 4.0  # standard deviations of a click: farther off is worth saying
JOINT_FACTOR = {"seen": 1.0, "guessed": 2.0, "hidden": 3.0}  # how much wider a click may be off


def find_platform(strip: Strip, outline: Outline, mark: ImplantMark) -> tuple[Measured, str]:
    """Height of the platform plane on the strip, from the shoulders beside whatever stands on it.

    Returns
    -------
    height : Measured in px
    note : str
        Empty, or why the mark itself was kept, or how far off it the edge was found.
    """
    length = strip.axis.length_px
    neck = outline.between(0.02 * length, 0.12 * length)
    half = float(np.median(outline.width_px[neck])) / 2
    shoulders = ((-0.92 * half, -0.72 * half), (0.72 * half, 0.92 * half))
    found = find_end(strip, shoulders, near_px=0.0, toward=-1.0)
    click = mark.std_px * JOINT_FACTOR[mark.joint]
    if found and mark.joint != "hidden" and abs(found.value) < 3 * click + 4:
        # a shoulder beside a joint that was only guessed may be another part's
        unsure = (JOINT_FACTOR[mark.joint] - 1) * mark.std_px
        height = from_parts(found.value, "px", **parts_of(found), joint=unsure)
        far = abs(found.value) > FAR_CLICKS * mark.std_px
        return height, _found_off("platform", found.value) if far else ""
    note = "the platform's edge does not stand out on the film, so it was taken where it was marked"
    if found and mark.joint != "hidden":
        note = (
            f"an edge {abs(found.value):.0f} px {_way(found.value)} the marked platform stands out "
            "more; the platform was taken where it was marked: check it"
        )
    return from_parts(0.0, "px", marks=click), note


def tip_note(tip_px: float, mark: ImplantMark) -> str:
    """Empty, or how far from its mark the apex was found."""
    off = tip_px - mark.length_px
    return _found_off("apex", off) if abs(off) > FAR_CLICKS * mark.std_px else ""


def _found_off(what: str, off_px: float) -> str:
    return f"the {what} was found {abs(off_px):.0f} px {_way(off_px)} its mark; check it"


def _way(off_px: float) -> str:
    return "farther apically than" if off_px > 0 else "farther coronally than"


def platform_width(
    walls: Walls, mark: ImplantMark, *, platform_px: float, length_px: float
) -> Quantity:
    """Full width at the platform rim, px: the neck's straight wall run out to the platform.

    NotMeasured where what was found and what was marked differ by more than clicks may: a rim
    under a sloping shoulder, or a thin flange, is then seen by the eye and not by the walls.
    """
    found = _rim(walls, platform_px=platform_px, length_px=length_px)
    if not found:
        return found
    marked = math.dist(*mark.platform_px)
    if abs(found.value - marked) > CLICK_REACH * mark.std_px + 0.04 * marked:
        return NotMeasured(
            f"the walls below the platform lie {found.value:.0f} px apart, the marked ends "
            f"{marked:.0f} px apart; mark the two ends of the rim again"
        )
    return found


def _rim(walls: Walls, *, platform_px: float, length_px: float) -> Quantity:
    reach = max(0.03 * length_px, 3.0)
    near = platform_px + reach + 1.0
    total, edges, run_out = 0.0, [], 0.0
    for wall in (walls.left, walls.right):
        line = straight_line(walls.outline, wall.side, near - reach, near + reach)
        edge = smooth_wall_at(walls, wall, near, reach)
        if not edge or line is None:
            return NotMeasured("the platform's rim is not clear against what lies beside it")
        total += edge.value + line.slope * (platform_px - near)
        edges.append(edge)
        run_out += (0.15 * line.slope * reach) ** 2 + RIM_STD_PX**2
    parts = parts_of(*edges) | {"rim": float(np.sqrt(run_out))}
    return from_parts(total, "px", **parts)


def collar_form(platform: Quantity, neck: Quantity) -> Form:
    """Flush, flared or back-tapered, from the platform against the body run up to it.

    `neck`: the width the body would have at the platform if it went on as it does below.
    """
    if not platform or not neck:
        return Form("not assessable", 1.0, "the neck or the body could not be measured")
    ratio = platform.value / neck.value
    scores = {
        "flared": _step(ratio, 1.045, 0.025),
        "back-tapered": _step(-ratio, -0.955, 0.02),
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
