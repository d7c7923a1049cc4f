"""One implant body: everything that decides its shape."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from sample_images.arrays import Array
from sample_images.bore import NO_BORE, Bore
from sample_images.cross_hole import CrossHole
from sample_images.heads import Head
from sample_images.holes import Cuts
from sample_images.outline import APICAL, CORONAL
from sample_images.plate import Plate, slab
from sample_images.rays import Part
from sample_images.sleeve import Sleeve
from sample_images.solids import Field, Profile, Rays, Thread, revolved, union, without
from sample_images.vocabulary import MALE, OUTSIDE

BAR_MM = (2.2, 3.0)  # height and depth of a bar across the end of a rod, invented


@dataclass(frozen=True, slots=True, eq=False)
class Fixture:
    """Everything that decides an implant's shape. Lengths in mm, angles in degrees.

    `envelope` is half the width over the thread crests along the axis (of a flat body: as this
    rotation shows it); `steps` the heights at which a stepped body narrows; `shaved` further
    solids a stranger is cut down to.
    """

    sizes: Mapping[str, float]
    forms: Mapping[str, str]
    envelope: Profile
    threads: tuple[Thread, ...]
    bore: Bore
    vents: tuple[CrossHole, ...] = ()
    perforations: tuple[CrossHole, ...] = ()
    hollow: Profile | None = None
    flutes: Cuts | None = None
    grooves: Cuts | None = None
    head: Head | None = None
    sleeve: Sleeve | None = None
    plate: Plate | None = None
    steps: tuple[float, ...] = ()
    shaved: tuple[Field, ...] = ()

    @property
    def length_mm(self) -> float:
        """Platform to apex."""
        return self.envelope.end_mm

    @property
    def platform_radius_mm(self) -> float:
        """At the platform rim."""
        return float(self.envelope(0.0))

    @property
    def material(self) -> str:
        """Name of the body's material."""
        return self.forms.get("material", "titanium")

    @property
    def has_bore(self) -> bool:
        """Whether there is an empty space that parts screw or tap into."""
        return self.bore.exists

    @property
    def has_flutes(self) -> bool:
        """Whether cutting flutes are milled into the apical part."""
        return self.flutes is not None

    @property
    def micro_thread(self) -> Thread | None:
        """Fine thread at the neck."""
        return self.threads[0] if len(self.threads) > 1 else None

    @property
    def top_form(self) -> str:
        """What stands above the platform when nothing is seated on it."""
        return "nothing" if self.head is None else self.head.form

    @property
    def index(self) -> tuple[str, str] | None:
        """Side (inside, outside) and shape of what keeps a part from turning."""
        kind = self.forms["index"]
        if kind == "none":
            return None
        side = "outside" if kind in OUTSIDE else "inside"
        shape = kind.removeprefix("male ")
        return side, shape if shape in ("hexagon", "three lobes", "octagon") else "other"

    def group(self, usual: str) -> str:
        """Name this body's connection group, `usual` being its family's."""
        if self.head is not None:
            return "external_index" if self.index else "one_piece"
        if not self.has_bore:
            return "one_piece"
        if self.index is None:
            return usual if usual in ("cone", "self_locking") else "no_index"
        return usual if usual == "cone" else "internal_index"

    def measured_collar_mm(self) -> float | None:
        """Smooth height from the platform to the first thread or step; None on a smooth body."""
        first = [thread.depth.top_mm for thread in self.threads[:1]] + list(self.steps[:1])
        if self.plate is not None:
            first.append(self.plate.half.top_mm)
        return max(min(first), 0.0) if first else None

    def measured_taper_deg(self) -> float:
        """Half-angle of the line through the envelope at a quarter and three quarters down."""
        wide, narrow = (float(self.envelope(s * self.length_mm)) for s in (CORONAL, APICAL))
        return float(np.degrees(np.arctan((wide - narrow) / (APICAL - CORONAL) / self.length_mm)))

    def depth_mm(self, z_mm: float | Array) -> Array:
        """Thread depth at a height."""
        z = np.asarray(z_mm, float)
        return np.asarray(sum((thread.depth(z) for thread in self.threads), np.zeros(z.shape)))

    def measured_depth_mm(self) -> float | None:
        """Thread depth at mid length; where a plain band lies there, that beside the band."""
        if not self.threads:
            return None
        main = self.threads[-1]
        at_middle = float(main.depth(self.length_mm / 2))
        return at_middle or max(main.depth.value)

    def is_open(self, hole: CrossHole) -> bool:
        """Whether the beam passes clear through a hole: only near its axis, by its own length."""
        off = abs(np.radians(hole.azimuth_deg))
        if self.plate is not None:
            return bool(np.tan(off) < hole.width_mm / self.plate.thickness_mm)
        body = 2 * float(self.envelope(hole.z_mm))
        return bool(np.sin(off) < min(1.0, hole.width_mm / body))

    def thinnest_wall_mm(self) -> float:
        """Least metal between the thread roots and the bore, and in a prism round the bore."""
        if not self.has_bore:
            return float("inf")
        z = np.linspace(0.0, self.bore.depth_mm, 400)
        wall = float(np.min(self.envelope(z) - self.depth_mm(z) - self.bore.reach_mm(z)))
        if self.forms["index"] in MALE and self.head is not None:
            return min(wall, self.head.width_mm / 2 - float(self.bore.wall(0.0)))
        return wall

    @property
    def reach_mm(self) -> float:
        """Largest distance of anything from the axis."""
        reach = [*self.envelope.value]
        reach += [self.head.reach_mm] if self.head else []
        if self.plate is not None:
            reach = [self.plate.reach_mm, self.plate.second_neck_mm + max(reach[:2])]
        return max(reach) + 0.005

    @property
    def top_mm(self) -> float:
        """Highest point, above the platform where negative."""
        return min(self.envelope.top_mm, -self.head.height_mm if self.head else 0.0)

    def body(self) -> Field:
        """Return the metal before the bore is cut."""
        solid = self._solid()
        if self.sleeve is not None and self.sleeve.kind == "beads":
            solid = self.sleeve.roughened(solid)
        if self.head is not None:
            solid = union(solid, self.head.field())
        holes = [hole.field() for hole in self.perforations]
        holes += [hole.field() for hole in self.vents] if self.plate is None else []
        holes += [revolved(self.hollow)] if self.hollow else []
        holes += [cuts.field() for cuts in (self.flutes, self.grooves) if cuts]
        return without(solid, *holes, *self.shaved) if holes or self.shaved else solid

    def _solid(self) -> Field:
        if self.plate is not None:
            return self.plate.field(self.vents)
        return revolved(self.envelope, self.threads)

    def parts(self) -> tuple[Part, ...]:
        """As the ray caster takes them: the body and the empty bore inside it."""
        body, void = self.body(), self.bore.void()
        sleeve = self.sleeve if self.sleeve and self.sleeve.kind == "tantalum" else None
        band = None if sleeve is None else sleeve.band()

        def fields(rays: Rays) -> tuple[Array, ...]:
            solid, empty = body(rays), void(rays)
            if band is None:
                return np.minimum(solid, -empty), empty
            porous = band(rays)
            return np.minimum(np.minimum(solid, -porous), -empty), empty, np.minimum(porous, solid)

        names = (self.material, "void") + (("porous_tantalum",) if band else ())
        ends = self.top_mm - 0.02, self.length_mm + 0.02
        if self.plate is not None and self.plate.second_neck_mm:
            ends = min(ends[0], -5.0), ends[1]
        deep = (
            None
            if self.plate is None
            else max(self.plate.depth_mm, self.sizes["platform_width_mm"])
        )
        return (Part(fields, names, self.reach_mm, *ends, depth_mm=deep), *self._bar())

    def _bar(self) -> tuple[Part, ...]:
        """Build the bar across the end of a rod, where there is one."""
        long = self.sizes.get("base_bar_mm", 0.0)
        if not long:
            return ()
        height, deep = BAR_MM
        half = Profile((self.length_mm - height, self.length_mm), (long / 2, long / 2))
        bar, body = slab(half, deep, 0.0), self.body()
        fields: Callable[[Rays], tuple[Array, ...]] = lambda rays: (  # noqa: E731 - one expression
            np.minimum(bar(rays), -body(rays)),
        )
        ends = self.length_mm - height - 0.02, self.length_mm + 0.02
        reach = float(np.hypot(long, deep)) / 2
        return (Part(fields, (self.material,), reach, *ends, depth_mm=deep / 2 + 0.01),)

    def without(self, feature: str) -> Fixture:
        """Make the same implant without one of its optional features.

        Parameters
        ----------
        feature : str
            "vents", "perforations", "flutes", "micro_threads", "threads", "bore" or "steps".
        """
        changes: dict[str, dict[str, object]] = {
            "vents": {"vents": ()},
            "perforations": {"perforations": ()},
            "flutes": {"flutes": None},
            "micro_threads": {"threads": self.threads[-1:]},
            "threads": {"threads": ()},
            "bore": {"bore": NO_BORE},
            "steps": {"steps": (), "envelope": self._without_steps()},
        }
        if feature not in changes:
            raise ValueError(f"'feature' must be one of {', '.join(changes)} (got '{feature}').")
        return replace(self, **changes[feature])  # type: ignore[arg-type]

    def _without_steps(self) -> Profile:
        """Draw straight lines through the middles of the steps' treads."""
        if not self.steps:
            return self.envelope
        edges = [self.envelope.top_mm, *self.steps, self.length_mm - self.sizes["apex_round_mm"]]
        middles = [(above + below) / 2 for above, below in pairwise(edges)]
        outer = [z for z in self.envelope.z_mm if z <= middles[0]]
        lower = [z for z in self.envelope.z_mm if z >= edges[-1]]
        z = [*outer, *middles, *lower]
        return Profile(tuple(z), tuple(float(self.envelope(knot)) for knot in z))
