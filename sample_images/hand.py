"""Marks as a hand would place them: a few pixels off."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sample_images import everyday
from sample_images.scene import Scene
from sample_images.seated import CROWNS
from sample_images.site import BALL_MM

Point = list[float]


def click(point: Point, shape: tuple[int, int], rng: np.random.Generator) -> Point:
    """2 to 6 px off in any direction, kept on the film and rounded to a tenth of a pixel."""
    away, turn = rng.uniform(2, 6), rng.uniform(0, math.tau)
    x = min(max(point[0] + away * math.cos(turn), 0.0), shape[1] - 1.0)
    y = min(max(point[1] + away * math.sin(turn), 0.0), shape[0] - 1.0)
    return [round(float(x), 1), round(float(y), 1)]


def mark_scene(scene: Scene, points: dict[str, Any], rng: np.random.Generator) -> dict[str, Any]:
    """Make the marks file of one scene.

    Parameters
    ----------
    points : dict
        Exact film points: `platform`, `apex`, and `ball` or `line` where the scale needs them.
    """
    joint = "seen"
    if scene.seated.kind in CROWNS:
        joint = everyday.draw_option(everyday.JOINT_WITH_CROWN, rng)
    shape = scene.site.view.shape
    implant = {
        "label": "A",
        "tooth": scene.site.tooth,
        "joint": joint,
        "platform_px": [click(point, shape, rng) for point in points["platform"]],
        "apex_px": click(points["apex"], shape, rng),
    }
    return {
        "radiofixture": "marks/1",
        "film": {"holder": False},
        "scale": _scale(scene, points, rng),
        "implants": [implant],
    }


def _scale(scene: Scene, points: dict[str, Any], rng: np.random.Generator) -> dict[str, Any]:
    shape, kind = scene.site.view.shape, scene.scale
    if kind == "ball":
        ends = [click(end, shape, rng) for end in points["ball"]]
        return {"kind": kind, "size_mm": BALL_MM, "depth_std_mm": 2.0, "ends_px": ends}
    if kind == "line":
        ends = [click(end, shape, rng) for end in points["line"]]
        width = round(scene.site.mouth.teeth[0].width_mm, 1)
        return {"kind": kind, "size_mm": width, "std_mm": 0.1, "ends_px": ends}
    if kind == "pixel":
        return {
            "kind": kind,
            "mm_per_px": round(scene.site.view.receptor_mm_per_px, 6),
            "magnification": everyday.ASSUMED_MAGNIFICATION,
            "std_magnification": everyday.ASSUMED_MAGNIFICATION_STD,
        }
    return {"kind": "none"}
