"""A tooth's root as solids: dentine, canal, and the dark gap and bright lamina dura round it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array
from sample_images.crown import Crown
from sample_images.plate import UNASKED, beside
from sample_images.rays import Part
from sample_images.solids import FACE_STEEPNESS, Field, Profile, Rays, revolved, union

GAP_MM, LAMINA_MM = 0.25, 0.30  # ligament and cortical lining of the socket: from memory
ENAMEL_MM = 1.1


@dataclass(frozen=True, slots=True)
class Canal:
    """A filled root canal from `top_mm` to `end_mm`, `radius_mm` wide at its top."""

    top_mm: float
    end_mm: float
    radius_mm: float

    def profile(self) -> Profile:
        """Narrowing toward the tip."""
        wide = self.radius_mm
        return Profile((self.top_mm, self.end_mm), (wide, min(0.22, wide)))


@dataclass(frozen=True, slots=True)
class Root:
    """One root, or two side by side; lengths in mm, z = 0 at the neck.

    `crest_mm` is where its bone begins, `apart_mm` how far two roots' tips stand from the axis.
    """

    length_mm: float
    neck_mm: float
    crest_mm: float
    apart_mm: float

    @classmethod
    def draw(cls, rng: np.random.Generator, *, two: bool = False) -> Root:
        """Draw a premolar's root, or a molar's two."""
        return cls(
            length_mm=float(rng.uniform(11.5, 14.5)),
            neck_mm=float(rng.uniform(3.4, 3.9) if two else rng.uniform(2.4, 2.9)),
            crest_mm=float(rng.uniform(1.2, 2.2)),
            apart_mm=float(rng.uniform(1.9, 2.3)) if two else 0.0,
        )

    def parts(self, canals: tuple[Canal, ...], inside: Field | None) -> tuple[Part, ...]:
        """Dentine round canals and whatever stands `inside` it, gap and lamina round that."""
        root, filling = self._surface(), self._filling(canals)
        crest, gap, lamina = (np.float32(mm) for mm in (self.crest_mm, GAP_MM, GAP_MM + LAMINA_MM))

        def fields(rays: Rays) -> tuple[Array, ...]:
            body, filled = root(rays), filling(rays)
            below = rays.z - crest
            empty = np.minimum(np.minimum(body + gap, -body), below)
            lining = np.minimum(np.minimum(body + lamina, -gap - body), below)
            hard = np.minimum(np.minimum(body, -filled), rays.z * np.float32(FACE_STEEPNESS))
            if inside is not None:
                post = inside(rays)
                hard, filled = np.minimum(hard, -post), np.minimum(filled, -post)
            return hard, np.minimum(filled, body), empty, lining

        deep = self.neck_mm + GAP_MM + LAMINA_MM + 0.05
        reach, ends = deep + self.apart_mm, (-0.02, self.length_mm + 0.7)
        materials = ("dentine", "gutta_percha", "void", "bone")
        return (Part(fields, materials, reach, *ends, samples=64, depth_mm=deep),)

    def crown(self, rng: np.random.Generator) -> tuple[Part, ...]:
        """Give the tooth its own crown: enamel over dentine, a filling at its top."""
        top = -float(rng.uniform(6.8, 7.6))
        whole = Crown(3.4, 3.7, self.neck_mm, 0.0, top, ENAMEL_MM, "dentine", 0.7)
        deep = Profile((top + 0.9, top + 3.4), (1.9, 1.5))
        filling = revolved(deep)
        fields = whole.part(filling).fields
        tooth = Part(fields, ("dentine", "enamel"), 3.8, top - 0.01, 0.01)
        return tooth, part_of(filling, "amalgam", deep)

    def _surface(self) -> Field:
        """Distance inside the outline, across: the layers round it are this plus their depth."""
        if not self.apart_mm:
            outline = self._outline(self.neck_mm, 0.0, self.length_mm).table()
            return lambda rays: np.asarray(outline.at(rays.z) - rays.r)
        trunk = self._outline(self.neck_mm, 0.0, 0.45 * self.length_mm).table()
        leg = self._outline(0.55 * self.neck_mm, 0.12 * self.length_mm, self.length_mm).table()

        def field(rays: Rays) -> Array:
            aside = np.float32(self.apart_mm / 2) * (1 + rays.z * np.float32(1 / self.length_mm))
            off = np.abs(rays.x) - aside
            nearest = np.sqrt(off * off + rays.y * rays.y)
            return np.asarray(np.maximum(trunk.at(rays.z) - rays.r, leg.at(rays.z) - nearest))

        return field

    def _outline(self, neck: float, top: float, end: float) -> Profile:
        """Radius along the axis, falling below zero past the tip as the distance to it grows."""
        share = np.sin(np.linspace(0, 1, 48) * np.pi / 2)
        z = top + share * (end - top)
        r = neck * (1 - 0.3 * share) * (1 - share**3.2) ** 0.55
        above = (top - 3.0,) if top else (top - 0.03,)
        past = (-3.0,) if top else (float(neck),)
        return Profile((*above, *z, end + 3.0), (*past, *r, -3.0))

    def _filling(self, canals: tuple[Canal, ...]) -> Field:
        if not self.apart_mm:
            return union(*(revolved(canal.profile()) for canal in canals))
        sides = (-self.apart_mm, self.apart_mm)
        return union(*(_leaning(c.profile(), side) for c, side in zip(canals, sides, strict=True)))


def _leaning(outline: Profile, tip_mm: float) -> Field:
    """Stand a canal aside so that its tip is `tip_mm` off, half of that at its top."""
    solid, end = revolved(outline), np.float32(outline.end_mm)
    half = np.float32(tip_mm / 2)

    def field(rays: Rays) -> Array:
        x = rays.x - half * (1 + rays.z / end)
        return solid(Rays(x=x, y=rays.y, z=rays.z, r=np.sqrt(x * x + rays.y * rays.y), phi=UNASKED))

    return field


def part_of(solid: Field, material: str, bounds: Profile) -> Part:
    """One solid of one material within the bounds of a body of revolution."""
    reach = max(bounds.value) + 0.02
    ends = bounds.top_mm - 0.02, bounds.end_mm + 0.02
    return Part(lambda rays: (solid(rays),), (material,), reach, *ends)


def crown_part(crown: Crown, stump: Field) -> Part:
    """Set a crown over what it stands on."""
    return crown.part(stump)


def amalgam(rng: np.random.Generator) -> Part:
    """Fill the neighbour on the left with amalgam."""
    across, up = -float(rng.uniform(6.4, 7.4)), float(rng.uniform(5.0, 6.2))
    blob = Profile((-up - 2.4, -up - 2.0, -up), (0.9, 1.5, 1.1))
    solid = beside(blob, across, 0.0)
    reach, ends = abs(across) + 1.6, (blob.top_mm - 0.02, blob.end_mm + 0.02)
    return Part(lambda rays: (solid(rays),), ("amalgam",), reach, *ends, depth_mm=1.55)
