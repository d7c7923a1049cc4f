"""Marks as a hand would place them: a few pixels off."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

Point = list[float]


def click(point: Point, shape: tuple[int, int], rng: np.random.Generator) -> Point:
    """2 to 6 px off in any direction, kept on the film and rounded to a tenth of a pixel."""
    away, turn = rng.uniform(2, 6), rng.uniform(0, math.tau)
    x = min(max(point[0] + away * math.cos(turn), 0.0), shape[1] - 1.0)
    y = min(max(point[1] + away * math.sin(turn), 0.0), shape[0] - 1.0)
    return [round(float(x), 1), round(float(y), 1)]


def place_marks(
    points: dict[str, Any],
    scale: dict[str, Any],
    tooth: str,
    joint: str,
    shape: tuple[int, int],
    rng: np.random.Generator,
) -> dict[str, Any]:
    """Make the marks file for one implant; `scale` holds exact `ends_px`, which are clicked too."""
    platform = [click(point, shape, rng) for point in points["platform"]]
    apex = click(points["apex"], shape, rng)
    if "ends_px" in scale:
        scale = scale | {"ends_px": [click(point, shape, rng) for point in scale["ends_px"]]}
    implant = {
        "label": "A",
        "tooth": tooth,
        "joint": joint,
        "platform_px": platform,
        "apex_px": apex,
    }
    return {
        "radiofixture": "marks/1",
        "film": {"holder": False},
        "scale": scale,
        "implants": [implant],
    }
