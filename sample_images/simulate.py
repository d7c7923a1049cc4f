"""The front door: one simulated periapical film of one family, with its exact truth and marks."""

from __future__ import annotations

from typing import Any

import numpy as np

from sample_images.exposure import receive, shade, tissue
from sample_images.film_files import write
from sample_images.hand import mark_scene
from sample_images.imaging import expose, to_pixels
from sample_images.pairs import by_contrast
from sample_images.scene import FAMILIES, KEYS, Facts, Scene, Wanted, compose
from sample_images.simulated import Pixels, Simulated
from sample_images.site import Site
from sample_images.truth import tell

__all__ = ["FAMILIES", "KEYS", "Simulated", "describe", "simulate", "write"]


def simulate(
    family: str,
    seed: int,
    level: str = "clinical",
    facts: Facts | None = None,
    *,
    detectability: bool = False,
    **wanted: Any,
) -> Simulated:
    """Simulate one film; the same arguments give the same bytes.

    Parameters
    ----------
    family : str
        One of `KEYS`: a family, "stranger-…" or "no_implant-…".
    level : str
        "clean" (square to the beam, hardly any noise), "clinical" or "hard".
    facts : mapping, optional
        What a family's note states, as plain tables; the recipe's own ranges where left out.
    detectability : bool
        Compute what can be detected from noise-free pairs with and without each feature; without
        it a quick rule answers.
    scale, seated, jaw, stress : by keyword
        As in `scene.Wanted`.

    Raises
    ------
    ValueError
        An unknown family, level, scale, part or jaw.
    """
    scene, streams = compose(family, seed, level, facts, Wanted(**wanted))
    asked = Wanted(**wanted).to_json(facts) | {"detectability": detectability}
    told, solids = _told(scene, seed, level, asked), shade(scene)
    if detectability:
        told = by_contrast(scene, told, solids)
    received = receive(scene, solids, tissue(scene.site, streams.image))
    grey = expose(received, scene.camera, streams.image)
    marks = mark_scene(scene, told["points_px"], streams.hand)
    return Simulated(_turned(to_pixels(grey), scene.site), told, marks)


def describe(
    family: str,
    seed: int,
    level: str = "clinical",
    facts: Facts | None = None,
    **wanted: Any,
) -> dict[str, Any]:
    """Tell the truth of the film `simulate` would make of the same arguments, unmade."""
    scene, _ = compose(family, seed, level, facts, Wanted(**wanted))
    asked = Wanted(**wanted).to_json(facts) | {"detectability": False}
    return _told(scene, seed, level, asked)


def _told(scene: Scene, seed: int, level: str, asked: dict[str, Any]) -> dict[str, Any]:
    return tell(scene) | {"level": level, "seed": seed, "asked": asked}


def _turned(pixels: Pixels, site: Site) -> Pixels:
    """Turn an upper jaw's film half round: the other way up, yet not mirrored."""
    return np.ascontiguousarray(pixels[::-1, ::-1]) if site.jaw == "upper" else pixels
