"""The outline of a body of revolution: collar, body with or without steps, apex."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from sample_images.arrays import Array
from sample_images.solids import Profile

KNOTS = 24  # of a rounded contour
LEDGE_MM = 0.25  # most height a step takes
LOW_COLLAR_MM = 0.3  # below this, a collar is not a diameter of its own
CORONAL, APICAL = 0.25, 0.75  # shares of the length at which widths are stated


def body_width_mm(sizes: Mapping[str, float]) -> float:
    """Width at the lower end of the collar, from itself or from the width a quarter down."""
    if "coronal_width_mm" not in sizes:
        return sizes["body_width_mm"]
    above = CORONAL * sizes["length_mm"] - sizes.get("collar_height_mm", 0.0)
    slope = math.tan(math.radians(sizes["taper_deg"]))
    return sizes["coronal_width_mm"] + 2 * slope * max(above, 0.0)


def outline(
    sizes: Mapping[str, float], forms: Mapping[str, str], steps: tuple[float, ...]
) -> Profile:
    """Outer envelope over the thread crests; `steps` are heights at which the width drops."""
    length, rim, body = (
        sizes["length_mm"],
        sizes["platform_width_mm"] / 2,
        sizes["body_width_mm"] / 2,
    )
    collar, tip = sizes.get("collar_height_mm", 0.0), sizes["apex_round_mm"]
    z, r = _collar(forms["collar"], collar, rim, body)
    rise = sizes.get("shoulder_rise_mm", 0.0)
    if rise:
        z, r = [-rise, *z], [rim - rise, *r]
    slope = math.tan(math.radians(sizes["taper_deg"]))
    end = body - slope * (length - tip - collar)
    if steps:
        step_z, step_r = _staircase(steps, collar, length, body, slope)
        z, r, end = [*z, *step_z], [*r, *step_r], step_r[-1]
    tip_z, tip_r = _apex(forms["apex"], length, tip, end)
    return Profile((*z, *tip_z), (*r, *tip_r))


def step_heights(sizes: Mapping[str, float], forms: Mapping[str, str]) -> tuple[float, ...]:
    """Heights of the steps: even, and none at a quarter or three quarters of the length."""
    if forms.get("steps") != "yes":
        return ()
    length, collar = sizes["length_mm"], sizes.get("collar_height_mm", 0.0)
    bodies = round(sizes["step_count"])
    first = max(collar, 0.08 * length)
    level = (0.97 * length - first) / bodies
    heights = first + level * np.arange(0 if collar >= LOW_COLLAR_MM else 1, bodies)
    for quarter in (CORONAL * length, APICAL * length):  # widths are stated there: no ledge
        just_above = np.abs(quarter - LEDGE_MM / 2 - heights) < LEDGE_MM / 2
        heights = np.where(just_above, quarter + 0.01, heights)
    return tuple(float(z) for z in heights if z < length - sizes["apex_round_mm"] - 0.3)


def _staircase(
    steps: tuple[float, ...], collar: float, length: float, body: float, slope: float
) -> tuple[list[float], list[float]]:
    """Give each diameter so that a quarter and three quarters down lie on the straight line."""
    upper = int(np.searchsorted(steps, CORONAL * length))
    lower = int(np.searchsorted(steps, APICAL * length))
    top = body - slope * (CORONAL * length - collar)
    drop = slope * (APICAL - CORONAL) * length / max(lower - upper, 1)
    radii = [top - drop * (k - upper) for k in range(len(steps) + 1)]
    z: list[float] = []
    r: list[float] = []
    if steps[0] > collar:  # no collar to speak of: the first diameter begins at the top
        z, r = [collar + 0.01], [radii[0]]
    for height, above, below in zip(steps, radii, radii[1:], strict=False):
        ledge = min(abs(above - below), LEDGE_MM)  # shoulders are bevelled, not undercut
        z += [height, height + ledge]
        r += [above, below]
    if steps[0] == collar:
        r[0] = body
    return z, r


def _collar(form: str, height: float, rim: float, body: float) -> tuple[list[float], list[float]]:
    if height < 0.02:
        return [0.0, height], [rim, body]
    if form == "tulip":
        share = np.linspace(0, 1, KNOTS)
        return list(share * height), list(body + (rim - body) * (1 - share) ** 2)
    if form == "sloped":
        return [0.0, height], [rim, body]
    bevel = min(abs(rim - body), height / 2)
    return [0.0, height - bevel, height], [rim, rim, body]


def _apex(form: str, length: float, tip: float, end: float) -> tuple[Array, Array]:
    share = np.linspace(0, 1, KNOTS * 2)
    z = length - tip + share * tip
    if form == "dome":
        share = np.sin(share * math.pi / 2)  # closer knots where the dome turns in
        return length - tip + share * tip, end * (1 - share**2.4) ** (1 / 2.4)
    if form == "pointed":
        return z, end * (1 - 0.92 * share)
    if form == "flat":
        return z, end - min(0.8 * tip, 0.6 * end) * share
    return z, np.full_like(z, end)
