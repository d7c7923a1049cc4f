"""A crown: of metal, of metal veneered with porcelain, or all ceramic."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.rays import Part
from sample_images.solids import FACE_STEEPNESS, Field, Profile, Rays

# coping, veneered or not, by style: common practice
STYLES: dict[str, tuple[tuple[str, bool], ...]] = {
    "metal crown": (("gold_alloy", False), ("cobalt_chromium", False)),
    "metal-ceramic crown": (("cobalt_chromium", True), ("gold_alloy", True)),
    "ceramic crown": (("zirconia", True), ("zirconia", False), ("glass_ceramic", False)),
}


@dataclass(frozen=True, slots=True)
class Crown:
    """A crown on an abutment, a post or a tooth. Lengths in mm, z as on the implant.

    `half_width_mm` across (mesio-distal), `half_depth_mm` along the beam, `neck_mm` radius at the
    margin `margin_z_mm`, occlusal surface at `top_z_mm`; `veneer_mm` 0 = all of `material`.
    """

    half_width_mm: float
    half_depth_mm: float
    neck_mm: float
    margin_z_mm: float
    top_z_mm: float
    veneer_mm: float
    material: str
    cusp_mm: float

    def part(self, abutment: Field) -> Part:
        """Crown metal and porcelain, hollow where the abutment is."""
        outer = self.solid()
        core = self._shell(self.veneer_mm) if self.veneer_mm else None

        def fields(rays: Rays) -> tuple[Array, ...]:
            whole, free = outer(rays), -abutment(rays)
            if core is None:
                return np.minimum(whole, free), np.float32(-1) * np.ones_like(whole)
            coping = core(rays)
            return np.minimum(coping, free), np.minimum(np.minimum(whole, -coping), free)

        reach = max(self.half_width_mm, self.half_depth_mm) + 0.01
        materials = (self.material, "porcelain")
        ends = self.top_z_mm - 0.01, self.margin_z_mm + 0.01
        return Part(fields, materials, reach, *ends, samples=96)

    def solid(self) -> Field:
        """Positive anywhere inside the crown's outer surface."""
        return self._shell(0.0)

    def _shell(self, inset: float) -> Field:
        height = self.margin_z_mm - self.top_z_mm
        share = np.linspace(0, 1, 40)  # 0 at the margin, 1 at the top
        bulge = np.sin(np.clip(share / 0.62, 0, 1) * math.pi / 2)
        turn_in = 1 - 0.36 * np.clip((share - 0.55) / 0.45, 0, 1) ** 2.4
        z = tuple(self.margin_z_mm - share[::-1] * height)
        neck = max(self.neck_mm - inset * 0.25, 0.5)
        grow = np.minimum(inset, inset * share * 5)

        def table(half: float) -> Callable[[Array], Array]:
            radius = (neck + (half - self.neck_mm) * bulge - grow + inset * 0.25 * share) * turn_in
            return Profile(z, tuple(radius[::-1])).table().at

        wide, deep = table(self.half_width_mm), table(self.half_depth_mm)
        top, steep = np.float32(self.top_z_mm + inset), np.float32(FACE_STEEPNESS)
        margin, cusp = np.float32(self.margin_z_mm), np.float32(self.cusp_mm)
        groove = np.float32(1 / (0.22 * self.half_width_mm))

        def field(rays: Rays) -> Array:
            a, b = wide(rays.z), deep(rays.z)
            squared = _rounded(np.abs(rays.x / a)) + _rounded(np.abs(rays.y / b))
            side = (1 - squared) * np.minimum(a, b) * np.float32(0.5)
            valley = cusp / (1 + (rays.x * groove) ** 2)
            rounded = 1.2 * cusp * np.minimum(squared, 1) ** 2
            surface = rays.z - top - valley - rounded
            return np.asarray(np.minimum(np.minimum(side, surface), (margin - rays.z) * steep))

        return field


def _rounded(share: Array) -> Array:
    """Raise to 2.5, between an ellipse and a box, by what is quick."""
    return np.asarray(share * share * np.sqrt(share))


def draw_crown(
    style: str, neck_mm: float, margin_z_mm: float, top_z_mm: float, rng: np.random.Generator
) -> Crown:
    """Draw a premolar's or molar's crown of one of `STYLES`; sizes invented."""
    kinds = STYLES[style]
    material, veneered = kinds[int(rng.integers(len(kinds)))]
    return Crown(
        half_width_mm=float(rng.uniform(3.1, 3.7)),
        half_depth_mm=float(rng.uniform(3.6, 4.4)),
        neck_mm=neck_mm,
        margin_z_mm=margin_z_mm,
        top_z_mm=top_z_mm,
        veneer_mm=float(rng.uniform(0.9, 1.3)) if veneered else 0.0,
        material=material,
        cusp_mm=float(rng.uniform(0.5, 0.9)),
    )
