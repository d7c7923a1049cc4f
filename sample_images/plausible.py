"""Whether dimensions drawn apart fit each other in one implant."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from sample_images.body import Fixture
from sample_images.outline import APICAL, CORONAL, body_width_mm
from sample_images.thread_cut import TURNS_NEEDED, turns_cut

THINNEST_WALL_MM = 0.2  # a draw that leaves less metal round the bore is drawn again
SMALLEST_CORE_MM = 0.45  # radius of what the threads leave, invented
LEAST_STEP_MM, MOST_STEP_MM = 0.06, 1.3  # by which a rim stands out or back where it does
FLARE_PER_MM = 0.9  # of collar height
SLIMMEST = 0.45  # width three quarters down over that a quarter down, from memory
TAPER_OFF_DEG = 0.35  # how far a collar or apex may bend the line through the body's widths
WIDTH_OFF_MM = 0.06
OPENING_OFF_MM = 0.05
SMALLEST_STEP_MM = 0.04
SHORTEST_BORE_MM = 2.0


def hopeless(sizes: Mapping[str, float], forms: Mapping[str, str]) -> bool:
    """Whether the bore's opening fits neither the screw nor the platform: not worth building."""
    opening = sizes.get("opening_width_mm")
    if opening is None or forms.get("head", "none") != "none" or forms["screw"] == "none":
        return False
    narrow = sizes.get("bore_width_mm", opening) > opening + OPENING_OFF_MM
    return narrow or opening / 2 + THINNEST_WALL_MM > sizes.get("platform_width_mm", math.inf) / 2


def fitted_rim(
    sizes: dict[str, float],
    forms: Mapping[str, str],
    ranges: Mapping[str, Any],
    rng: np.random.Generator,
) -> dict[str, float] | None:
    """Make the platform agree with the collar's form; None where this draw cannot.

    A flush rim is as wide as the body there, and kept as often as the platform's own density says.
    """
    rim = forms.get("rim", "free")
    if rim == "free" or "platform_width_mm" not in sizes:
        return sizes
    body = body_width_mm(sizes)
    if rim == "flush":
        keep = rng.random() < height_of(ranges["platform_width_mm"], body)
        return {**sizes, "platform_width_mm": body} if keep else None
    step = (sizes["platform_width_mm"] - body) / 2 * (1 if rim == "flared" else -1)
    most = MOST_STEP_MM if rim == "flared" else body / 4
    if forms.get("body") == "plate":
        most = body / 2
    elif rim == "flared":  # a flare needs height: no collar is a nail's head
        most = min(most, FLARE_PER_MM * sizes.get("collar_height_mm", 0.0) + 0.15)
    return sizes if LEAST_STEP_MM <= step <= most else None


def height_of(entry: Mapping[str, Any], value: float) -> float:
    """Height of a range's density at a value, 1 on its flat top."""
    low, high = entry["low"], entry["high"]
    beyond = max(low - value, value - high, 0.0)
    if not beyond:
        return 1.0
    edge = entry.get("edge", 0.0)
    return math.exp(-0.5 * (beyond / edge) ** 2) if edge else 0.0


def fits(fixture: Fixture) -> bool:
    """Whether metal, threads and bore leave room for each other and sizes are what was asked."""
    return (
        fixture.thinnest_wall_mm() >= THINNEST_WALL_MM
        and _core_holds(fixture)
        and _threads_run(fixture)
        and widths_kept(fixture)
        and _bore_kept(fixture)
        and _features_fit(fixture)
    )


def _core_holds(fixture: Fixture) -> bool:
    z = np.linspace(0.0, fixture.length_mm - fixture.sizes["apex_round_mm"], 120)
    return bool(np.min(fixture.envelope(z) - fixture.depth_mm(z)) > SMALLEST_CORE_MM)


def _threads_run(fixture: Fixture) -> bool:
    if fixture.forms["thread"] == "none":
        return True
    main, middle = fixture.threads[-1], fixture.length_mm / 2
    kept = float(main.depth(middle)) >= 0.97 * fixture.sizes["thread_depth_mm"]
    return turns_cut(main) >= TURNS_NEEDED and (kept or fixture.sleeve is not None)


def widths_kept(fixture: Fixture) -> bool:
    """Whether collar and apex stay out of the quarters, so that widths are those drawn.

    This hangs on the outline alone: no other bore or thread can mend it.
    """
    sizes, length = fixture.sizes, fixture.length_mm
    if "coronal_width_mm" not in sizes:
        return True
    coronal = 2 * float(fixture.envelope(CORONAL * length))
    apical = float(fixture.envelope(APICAL * length))
    return (
        abs(coronal - sizes["coronal_width_mm"]) < WIDTH_OFF_MM
        and abs(fixture.measured_taper_deg() - sizes["taper_deg"]) < TAPER_OFF_DEG
        and apical > SLIMMEST * coronal / 2
    )


def _bore_kept(fixture: Fixture) -> bool:
    if not fixture.has_bore:
        return True
    bore, sizes = fixture.bore, fixture.sizes
    asked = sizes.get("opening_width_mm")
    least = max(SHORTEST_BORE_MM, bore.index.depth_mm + 0.5)
    kept = bore.depth_mm >= min(least, sizes["bore_depth_mm"])
    if asked is None or bore.thread is None:  # a well's opening follows from its width
        return kept
    return kept and abs(bore.mouth_width_mm() - asked) < OPENING_OFF_MM


def _features_fit(fixture: Fixture) -> bool:
    """Vents, hollow and steps lie within the body."""
    hollow = fixture.hollow
    if hollow is not None and max(hollow.value) < 0.5:
        return False
    wide = all(
        vent.width_mm < 1.5 * float(fixture.envelope(vent.z_mm))
        for vent in fixture.vents
        if fixture.plate is None
    )
    return wide and _steps_show(fixture)


def _steps_show(fixture: Fixture) -> bool:
    """Whether a body that should have steps has some, and all of them narrow it."""
    if fixture.forms.get("steps") != "yes" or fixture.plate is not None:
        return True
    at = np.array(fixture.steps)
    drops = fixture.envelope(at - 0.01) - fixture.envelope(at + 0.3)
    return len(at) > 0 and bool(np.min(drops) > SMALLEST_STEP_MM)
