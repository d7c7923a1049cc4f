"""What sits on an implant: cover screw, healing part, abutment with its screw, a crown on that.

A one-piece body takes a crown on its post and nothing else; on a ball nothing shows on a film.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sample_images.arrays import Array
from sample_images.crown import STYLES, Crown, draw_crown
from sample_images.fixture import Fixture
from sample_images.inner_part import InnerPart, draw_inner_part
from sample_images.rays import Part
from sample_images.solids import (
    Field,
    Fields,
    Profile,
    Rays,
    prism,
    revolved,
    union,
    without,
)

CROWNS = (*STYLES, "abutment and crown")  # the last: metal or metal-ceramic, as chance has it
KINDS = ("nothing", "cover screw", "healing part", "bare abutment", *CROWNS, "fractured screw")
PORCELAIN_SHARE = 0.6  # of crowns of no stated style, invented
CEMENT_MM = 0.04
INSET_MM = (0.2, 0.55)  # from the rim in to the part, where it is narrower: from memory
COVERED_MM = 0.08  # by which a part reaches beyond the opening it closes, invented


@dataclass(frozen=True, slots=True, eq=False)
class Seated:
    """Parts on the implant.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    metal : Field or None
        Titanium: abutment, screw, cover screw or healing part.
    reach_mm, top_mm, end_mm : float
        Bounds of `metal`; `end_mm` is how deep it reaches into the bore.
    inset_mm : float
        From the platform's rim in to the part, where the two meet.
    inner : InnerPart or None
        What of it lies inside the bore.
    crown : Crown or None
    """

    kind: str
    metal: Field | None = None
    reach_mm: float = 0.0
    top_mm: float = 0.0
    end_mm: float = 0.0
    crown: Crown | None = None
    stump: Field | None = None
    inset_mm: float = 0.0
    inner: InnerPart | None = None

    def parts(self) -> tuple[Part, ...]:
        """As the ray caster takes them."""
        if self.crown is not None and self.stump is not None:
            return (self.crown.part(self.stump),)
        if self.metal is None:
            return ()
        metal = self.metal
        fields: Fields = lambda rays: (metal(rays),)  # noqa: E731 - one expression
        inner = Part(fields, ("titanium",), self.reach_mm, self.top_mm, self.end_mm)
        if self.crown is None:
            return (inner,)
        return (inner, self.crown.part(metal))


def seat(fixture: Fixture, kind: str, rng: np.random.Generator) -> Seated:
    """Put a part of this kind on the implant, or nothing where the body takes no such part."""
    if not fixture.has_bore:
        crowned = kind in CROWNS and fixture.top_form in ("post", "male prism")
        return _crown_on_post(fixture, kind, rng) if crowned else Seated("nothing")
    if kind == "cover screw":
        return _low_part(fixture, kind, rng.uniform(0.5, 0.8), 0.0, rng)
    if kind == "healing part":
        return _low_part(fixture, kind, rng.uniform(2.5, 4.0), rng.uniform(0.1, 0.4), rng)
    if kind == "bare abutment":
        return replace(_abutment(fixture, rng)[0], kind=kind)
    if kind == "fractured screw":
        return _fractured_screw(fixture, kind, rng)
    return _crowned(fixture, kind, rng) if kind in CROWNS else Seated("nothing")


def _screw_end_mm(fixture: Fixture, rng: np.random.Generator) -> float:
    """How deep the screw or post reaches: short of the bore's end, so some of it stays empty."""
    depth = fixture.bore.depth_mm
    if fixture.bore.thread is None:
        return depth - float(rng.uniform(0.3, 0.8))
    return float(depth * rng.uniform(0.66, 0.86))


def _above(fixture: Fixture, outer: Profile) -> Field:
    """Turn a part standing on the platform, hollowed for whatever rises above the platform."""
    solid = revolved(outer)
    if fixture.head is not None:
        channel = fixture.bore.void()
        pocket = fixture.head.field(grow_mm=0.02)
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
    base = _foot_mm(fixture, 0.03, 0.35, rng)
    height = height - fixture.top_mm
    radius = base + flare
    rise = min(1.2, height / 2)
    outer = Profile((-height, -height + 0.2, -rise, -0.001), (radius - 0.2, radius, radius, base))
    inner = draw_inner_part(fixture.bore, _screw_end_mm(fixture, rng) * 0.8, rng, low=True)
    hexagon = prism(6, 1.25, -height - 0.1, -height + min(1.2, height * 0.6), 10.0)
    metal = union(without(_above(fixture, outer), hexagon), inner.field(fixture.bore))
    inset = fixture.platform_radius_mm - base
    reach = max(radius, base) + 0.01
    return Seated(kind, metal, reach, -height - 0.01, inner.end_mm, inset_mm=inset, inner=inner)


def _foot_mm(fixture: Fixture, short_mm: float, over_mm: float, rng: np.random.Generator) -> float:
    """Radius of a part where it meets the platform.

    `short_mm` of the rim; or, where nothing says whether it is inset, `over_mm` beyond a cone.
    """
    rim, mouth = fixture.platform_radius_mm, fixture.bore.mouth_width_mm() / 2
    least = max(mouth, fixture.head.reach_mm if fixture.head else 0.0) + COVERED_MM
    inset = fixture.forms.get("inset", "by mouth")
    if fixture.envelope.top_mm < 0 or inset == "no":
        return rim - short_mm
    if inset == "yes":
        (own,) = rng.spawn(1)  # so that all other draws stay as they were
        return min(max(rim - float(own.uniform(*INSET_MM)), least), rim - short_mm)
    return min(rim - short_mm, mouth + over_mm) if fixture.bore.cone_deg > 0 else rim - short_mm


def _crowned(fixture: Fixture, kind: str, rng: np.random.Generator) -> Seated:
    abutment, neck, margin = _abutment(fixture, rng)
    top = abutment.top_mm - float(rng.uniform(1.6, 2.4))
    return replace(abutment, kind=kind, crown=draw_crown(_style(kind, rng), neck, margin, top, rng))


def _style(kind: str, rng: np.random.Generator) -> str:
    if kind in STYLES:
        return kind
    return "metal-ceramic crown" if rng.random() < PORCELAIN_SHARE else "metal crown"


def _abutment(fixture: Fixture, rng: np.random.Generator) -> tuple[Seated, float, float]:
    """Draw an abutment with its screw; also the radius and height of the crown's margin on it."""
    rim, level = fixture.platform_radius_mm, fixture.envelope.top_mm == 0
    margin = float(rng.uniform(0.9, 2.2)) if level else 0.15
    base = _foot_mm(fixture, 0.02, 0.12, rng)
    neck = base + 0.35 * margin if level else rim - 0.02
    post = min(neck - 0.45, 1.9)
    height = float(rng.uniform(6.2, 8.2))
    outer = Profile(
        (-height, -height + 0.3, -margin - 0.6, -margin, -0.001),
        (post * 0.78 - 0.2, post * 0.78, post, neck - 0.35, base),
    )
    inner = draw_inner_part(fixture.bore, _screw_end_mm(fixture, rng), rng, low=False)
    solid = _above(fixture, outer)
    if fixture.bore.thread is not None:  # the access to the screw head stays open
        access = revolved(Profile((-height - 0.1, -2.4), (min(post * 0.78 - 0.4, 1.1),) * 2))
        solid = without(solid, access)
    metal, reach = union(solid, inner.field(fixture.bore)), max(neck, base) + 0.01
    inset = rim - base
    part = Seated("abutment", metal, reach, -height, inner.end_mm, inset_mm=inset, inner=inner)
    return part, neck, -margin


def _crown_on_post(fixture: Fixture, kind: str, rng: np.random.Generator) -> Seated:
    """Cement a crown to the post of a one-piece body."""
    head = fixture.head
    assert head is not None  # no bore and a top to take a crown
    top = -max(float(rng.uniform(8.2, 9.4)), head.height_mm + 1.2)
    neck = max(fixture.platform_radius_mm, head.reach_mm + 0.2) + 0.1
    crown = draw_crown(_style(kind, rng), neck, -0.05, top, rng)
    return Seated(kind, crown=crown, stump=head.field(grow_mm=CEMENT_MM))


def _fractured_screw(fixture: Fixture, kind: str, rng: np.random.Generator) -> Seated:
    """Leave the lower part of a broken screw in the tapped channel, nothing above it."""
    if fixture.bore.thread is None:
        return Seated("nothing")
    end = _screw_end_mm(fixture, rng)
    floor = max(fixture.bore.thread.depth.top_mm, 0.0)
    broken = floor + (end - floor) * float(rng.uniform(0.1, 0.5))
    plug = InnerPart(end, end, end, 0.0).field(fixture.bore)

    def stump(rays: Rays) -> Array:
        slanted = rays.z - np.float32(broken) - np.float32(0.35) * rays.x  # breaks are not square
        return np.asarray(np.minimum(plug(rays), slanted))

    return Seated(kind, stump, fixture.bore.width_mm / 2 + 0.01, broken - 0.8, end)
