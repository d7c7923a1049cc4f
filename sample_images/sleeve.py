"""Porous surfaces: sintered beads as a granular edge, or a sleeve of porous tantalum."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.solids import Field, Profile, Rays, only_between, revolved, without

TERMS = 5  # waves added up to a granular surface


@dataclass(frozen=True, slots=True, eq=False)
class Sleeve:
    """A porous layer round the body from `top_mm` to `end_mm`, `depth_mm` thick.

    `kind` "beads" (of the body's own metal: only its edge is rough) or "tantalum" (a material of
    its own, lighter than solid metal); `grain_mm` the size of its grains.
    """

    kind: str
    top_mm: float
    end_mm: float
    depth_mm: float
    grain_mm: float
    phase: float
    envelope: Profile

    def roughness(self) -> Field:
        """Radial depth of the gaps between grains, 0 to `depth_mm`, zero outside the layer."""
        waves = _waves(self.grain_mm, float(self.envelope(self.top_mm)), self.phase)
        deep = np.float32(min(self.depth_mm, self.grain_mm) / 2)
        top, end = np.float32(self.top_mm), np.float32(self.end_mm)

        def field(rays: Rays) -> Array:
            total = np.zeros(1, np.float32)
            for along, around, start in waves:
                total = total + np.cos(rays.z * along + rays.phi * around + start)
            here = (rays.z > top) & (rays.z < end)
            return np.asarray(deep * (1 - total / np.float32(TERMS)) * here)

        return field

    def band(self) -> Field:
        """Positive inside the layer of its own material."""
        z = np.linspace(self.top_mm, self.end_mm, 40)
        outer = Profile(tuple(z), tuple(self.envelope(z)))
        inner = Profile(tuple(z), tuple(self.envelope(z) - self.depth_mm))
        return without(revolved(outer), revolved(inner))

    def roughened(self, body: Field) -> Field:
        """Body with its surface grained."""
        rough = self.roughness()

        def field(rays: Rays) -> Array:
            return body(rays) - rough(rays)

        return only_between(field, self.envelope.top_mm - 12, self.envelope.end_mm)


def _waves(grain_mm: float, radius_mm: float, phase: float) -> list[tuple[np.float32, ...]]:
    """Wave numbers along and around whose sum never repeats within a layer."""
    waves = []
    for k in range(TERMS):
        angle = math.pi * (k + 0.37) / TERMS
        number = math.tau / (2 * grain_mm) * (0.8 + 0.4 * k / TERMS)
        around = round(number * math.cos(angle) * radius_mm)
        start = phase * (k + 1) * 2.399963  # the golden angle: phases far apart
        waves.append(tuple(np.float32(v) for v in (number * math.sin(angle), around, start)))
    return waves


def make_sleeve(
    sizes: Mapping[str, float], forms: Mapping[str, str], envelope: Profile, phase: float
) -> Sleeve | None:
    """Build the layer a recipe asks for."""
    kind = forms.get("sleeve", "none")
    if kind == "none":
        return None
    top = max(sizes.get("sleeve_start_mm", 0.0), sizes.get("collar_height_mm", 0.0))
    if kind == "beads":  # all of the body below its collar
        top, end = sizes.get("collar_height_mm", 0.0), envelope.end_mm - 0.2
    else:
        end = min(top + sizes["sleeve_length_mm"], envelope.end_mm - 2.0)
    return Sleeve(kind, top, end, sizes["sleeve_depth_mm"], sizes["grain_mm"], phase, envelope)
