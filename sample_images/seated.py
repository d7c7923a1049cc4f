"""What sits on an implant: cover screw, healing part, abutment with its screw, a crown on that."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.fixture import Fixture
from sample_images.materials import mu_per_mm
from sample_images.rays import Part
from sample_images.solids import (
    FACE_STEEPNESS,
    Field,
    Fields,
    Profile,
    Rays,
    only_between,
    prism,
    revolved,
    union,
    without,
)

KINDS = ("nothing", "cover screw", "healing part", "abutment and crown")
FIT_MM = 0.015  # clearance of a part inside the bore: common practice, thousandths to hundredths


@dataclass(frozen=True, slots=True, eq=False)
class Seated:
    """Parts on the implant.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    metal : Field or None
        Titanium: abutment, screw, cover screw or healing part.
    metal_profile_reach_mm, metal_top_mm, metal_end_mm : float
        Bounds of `metal`; `metal_end_mm` is how deep it reaches into the bore.
    crown : Crown or None
    """

    kind: str
    metal: Field | None = None
    reach_mm: float = 0.0
    top_mm: float = 0.0
    end_mm: float = 0.0
    crown: Crown | None = None

    def parts(self, energy_kev: float) -> tuple[Part, ...]:
        """As the ray caster takes them."""
        if self.metal is None:
            return ()
        metal, titanium = self.metal, mu_per_mm("titanium", energy_kev)
        fields: Fields = lambda rays: (metal(rays),)  # noqa: E731 - one expression
        inner = Part(fields, (titanium,), self.reach_mm, self.top_mm, self.end_mm)
        if self.crown is None:
            return (inner,)
        return (inner, self.crown.part(metal, energy_kev))


@dataclass(frozen=True, slots=True)
class Crown:
    """A crown of metal, or of metal veneered with porcelain. Lengths in mm, z as on the implant.

    `half_width_mm` across (mesio-distal), `half_depth_mm` along the beam, `neck_mm` radius at the
    margin `margin_z_mm`, occlusal surface at `top_z_mm`; `veneer_mm` 0 = all metal.
    """

    half_width_mm: float
    half_depth_mm: float
    neck_mm: float
    margin_z_mm: float
    top_z_mm: float
    veneer_mm: float
    material: str
    cusp_mm: float

    def part(self, abutment: Field, energy_kev: float) -> Part:
        """Crown metal and porcelain, hollow where the abutment is."""
        outer = self._shell(0.0)
        core = self._shell(self.veneer_mm) if self.veneer_mm else None

        def fields(rays: Rays) -> tuple[Array, ...]:
            whole, free = outer(rays), -abutment(rays)
            if core is None:
                return np.minimum(whole, free), np.float32(-1) * np.ones_like(whole)
            coping = core(rays)
            return np.minimum(coping, free), np.minimum(np.minimum(whole, -coping), free)

        reach = max(self.half_width_mm, self.half_depth_mm) + 0.01
        mus = (mu_per_mm(self.material, energy_kev), mu_per_mm("porcelain", energy_kev))
        return Part(fields, mus, reach, self.top_z_mm - 0.01, self.margin_z_mm + 0.01, samples=96)

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
            squared = np.abs(rays.x / a) ** 2.4 + np.abs(rays.y / b) ** 2.4
            side = (1 - squared) * np.minimum(a, b) * np.float32(0.5)
            valley = cusp / (1 + (rays.x * groove) ** 2)
            rounded = 1.2 * cusp * np.minimum(squared, 1) ** 2
            surface = rays.z - top - valley - rounded
            return np.asarray(np.minimum(np.minimum(side, surface), (margin - rays.z) * steep))

        return field


def seat(fixture: Fixture, kind: str, rng: np.random.Generator) -> Seated:
    """Put a part of this kind on the implant."""
    if kind == "nothing":
        return Seated(kind)
    if kind == "cover screw":
        return _low_part(fixture, kind, rng.uniform(0.5, 0.8), 0.0, rng)
    if kind == "healing part":
        return _low_part(fixture, kind, rng.uniform(2.5, 4.0), rng.uniform(0.1, 0.4), rng)
    return _crowned(fixture, rng)


def _plug(fixture: Fixture, end_mm: float) -> Field:
    """Everything that fills the bore down to `end_mm`, with a hair of clearance."""
    void = fixture.bore.void()

    def field(rays: Rays) -> Array:
        faces = np.minimum(np.float32(end_mm) - rays.z, rays.z + np.float32(0.001))
        return np.asarray(
            np.minimum(void(rays) - np.float32(FIT_MM), faces * np.float32(FACE_STEEPNESS))
        )

    return only_between(field, -0.01, end_mm)


def _screw_end_mm(fixture: Fixture, rng: np.random.Generator) -> float:
    """How deep the screw or post reaches: short of the bore's end, so some of it stays empty."""
    depth = fixture.bore.depth_mm
    if fixture.bore.thread is None:
        return depth - float(rng.uniform(0.3, 0.8))
    return float(depth * rng.uniform(0.66, 0.86))


def _above(fixture: Fixture, outer: Profile) -> Field:
    """Turn a part standing on the platform, hollowed for whatever rises above the platform."""
    solid = revolved(outer)
    if fixture.forms["index"] == "male hexagon":
        flats, top = fixture.sizes["top_flats_mm"] + 0.04, -fixture.sizes["top_height_mm"] - 0.05
        channel = fixture.bore.void()
        pocket = prism(6, flats, top, 0.01, fixture.bore.index_turn_deg)
        inner: Field = lambda rays: np.minimum(pocket(rays), -channel(rays))  # noqa: E731
        return without(solid, inner)
    if fixture.envelope.top_mm < 0:  # a bevelled shoulder rises above the platform rim
        z = tuple(point for point in fixture.envelope.z_mm if point <= 0)
        rim = revolved(Profile(z, fixture.envelope.value[: len(z)]))
        channel = fixture.bore.void()
        shoulder: Field = lambda rays: np.minimum(rim(rays), -channel(rays))  # noqa: E731
        return without(solid, shoulder)
    return solid


def _low_part(
    fixture: Fixture, kind: str, height: float, flare: float, rng: np.random.Generator
) -> Seated:
    base = fixture.platform_radius_mm - 0.03
    if fixture.bore.cone_deg > 0 and fixture.envelope.top_mm == 0:
        base = min(base, fixture.bore.mouth_width_mm() / 2 + 0.35)
    height = height - fixture.top_mm
    radius = base + flare
    rise = min(1.2, height / 2)
    outer = Profile((-height, -height + 0.2, -rise, -0.001), (radius - 0.2, radius, radius, base))
    end = _screw_end_mm(fixture, rng) * 0.8
    hexagon = prism(6, 1.25, -height - 0.1, -height + min(1.2, height * 0.6), 10.0)
    metal = union(without(_above(fixture, outer), hexagon), _plug(fixture, end))
    return Seated(kind, metal, max(radius, base) + 0.01, -height - 0.01, end)


def _crowned(fixture: Fixture, rng: np.random.Generator) -> Seated:
    rim = fixture.platform_radius_mm
    top = float(rng.uniform(8.6, 9.8))
    margin = float(rng.uniform(0.9, 2.2)) if fixture.envelope.top_mm == 0 else 0.15
    coned = fixture.bore.cone_deg > 0 and fixture.envelope.top_mm == 0
    base = min(rim - 0.02, fixture.bore.mouth_width_mm() / 2 + 0.12) if coned else rim - 0.02
    neck = base + 0.35 * margin if fixture.envelope.top_mm == 0 else rim - 0.02
    post = min(neck - 0.45, 1.9)
    height = top - float(rng.uniform(1.6, 2.4))
    outer = Profile(
        (-height, -height + 0.3, -margin - 0.6, -margin, -0.001),
        (post * 0.78 - 0.2, post * 0.78, post, neck - 0.35, base),
    )
    end = _screw_end_mm(fixture, rng)
    solid = _above(fixture, outer)
    if fixture.bore.thread is not None:  # the access to the screw head stays open
        access = revolved(Profile((-height - 0.1, -2.4), (min(post * 0.78 - 0.4, 1.1),) * 2))
        solid = without(solid, access)
    metal = union(solid, _plug(fixture, end))
    porcelain = bool(rng.random() < 0.6)
    crown = Crown(
        half_width_mm=float(rng.uniform(3.1, 3.7)),
        half_depth_mm=float(rng.uniform(3.6, 4.4)),
        neck_mm=neck,
        margin_z_mm=-margin,
        top_z_mm=-top,
        veneer_mm=float(rng.uniform(0.9, 1.3)) if porcelain else 0.0,
        material="cobalt_chromium" if porcelain else "gold_alloy",
        cusp_mm=float(rng.uniform(0.5, 0.9)),
    )
    return Seated("abutment and crown", metal, max(neck, base) + 0.01, -height, end, crown)
