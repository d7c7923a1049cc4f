"""What is taken for an implant and is none: posts in roots, root fillings, bone screws, a bridge.

Each hands its solids to the ray caster like an implant, root, ligament gap and lamina dura
included, and has an outline where a user who took it for an implant would put the marks. All sizes
are invented after common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from sample_images.cross_hole import CrossHole
from sample_images.crown import STYLES, draw_crown
from sample_images.plate import slab
from sample_images.rays import Part
from sample_images.root import Canal, Root, amalgam, crown_part, part_of
from sample_images.solids import (
    Field,
    Profile,
    Thread,
    prism,
    revolved,
    union,
    v_flats,
    without,
)

STYLE_SHARES = (0.3, 0.5, 0.2)  # metal, metal-ceramic, ceramic
NO_FORMS: Mapping[str, str] = {"index": "none", "apex": "pointed", "thread": "none"}


@dataclass(frozen=True, slots=True, eq=False)
class NoImplant:
    """A film's subject that is not an implant.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    solids : tuple of Part
    envelope : Profile
        Half width along the axis of what would be taken for a body: the marks go to its two upper
        ends and its tip.
    sizes : mapping
        `collar_height_mm` and `body_width_mm`, for placing bone and neighbours.
    """

    kind: str
    solids: tuple[Part, ...]
    envelope: Profile
    sizes: Mapping[str, float]
    forms: Mapping[str, str] = field(default_factory=lambda: dict(NO_FORMS))
    has_bore: bool = False
    has_flutes: bool = False
    top_form: str = "nothing"
    material: str | None = None
    vents: tuple[CrossHole, ...] = ()
    perforations: tuple[CrossHole, ...] = ()

    @property
    def length_mm(self) -> float:
        """From where the platform would be marked to where the apex would."""
        return self.envelope.end_mm

    @property
    def platform_radius_mm(self) -> float:
        """Half the distance of the two platform marks."""
        return float(self.envelope(0.0))

    @property
    def reach_mm(self) -> float:
        """Largest distance from the axis of what stands in the bone."""
        return max(self.sizes["body_width_mm"] / 2, *self.envelope.value)

    @property
    def top_mm(self) -> float:
        """Highest point."""
        return min(part.top_mm for part in self.solids)

    def parts(self) -> tuple[Part, ...]:
        """As the ray caster takes them."""
        return self.solids


def draw_no_implant(kind: str, rng: np.random.Generator) -> NoImplant:
    """Draw one of `KINDS`.

    Raises
    ------
    ValueError
        No such kind.
    """
    if kind not in MAKERS:
        raise ValueError(f"'kind' must be one of {', '.join(KINDS)} (got '{kind}').")
    return MAKERS[kind](rng)


def _cast_post(rng: np.random.Generator) -> NoImplant:
    """A cast post and core in a root filled below it, under a crown."""
    root = Root.draw(rng)
    depth, wide = float(rng.uniform(0.5, 0.66)) * root.length_mm, float(rng.uniform(0.7, 1.0))
    post = Profile((-4.5, -4.2, 0.0, 0.3, depth), (1.2, 1.5, 1.9, wide, wide * 0.55))
    metal = str(rng.choice(["gold_alloy", "cobalt_chromium"]))
    stump = revolved(post)
    crown = draw_crown(_style(rng), root.neck_mm + 0.1, 0.0, -float(rng.uniform(7, 8)), rng)
    solids = (
        *root.parts((Canal(depth + 0.3, root.length_mm - 0.8, 0.45),), stump),
        part_of(stump, metal, post),
        crown_part(crown, stump),
        amalgam(rng),
    )
    return _subject("cast_post", solids, Profile((0.0, depth), (wide, wide * 0.55)), root)


def _screw_post(rng: np.random.Generator) -> NoImplant:
    """A ready-made threaded post in a root, its head in a pale build-up."""
    root = Root.draw(rng)
    depth, radius = float(rng.uniform(0.5, 0.65)) * root.length_mm, float(rng.uniform(0.6, 0.85))
    pitch, cut = float(rng.uniform(0.5, 0.8)), 0.18
    post = Profile((-3.4, -1.2, -1.2, depth - 0.6, depth), (1.1, 1.1, radius, radius, 0.4))
    run = Profile((0.6, 0.9, depth - 0.8, depth - 0.5), (0.0, cut, cut, 0.0))
    screw = revolved(post, (Thread(pitch, 1, *v_flats(pitch, cut), run),))
    metal = str(rng.choice(["titanium", "steel"]))
    build = Profile((-5.0, -4.6, 0.0), (1.6, 2.1, root.neck_mm - 0.3))
    core = without(revolved(build), screw)
    crown = draw_crown(_style(rng), root.neck_mm + 0.1, 0.0, -float(rng.uniform(7, 8)), rng)
    solids = (
        *root.parts((Canal(depth + 0.3, root.length_mm - 0.8, 0.45),), screw),
        part_of(screw, metal, post),
        part_of(core, "porcelain", build),
        crown_part(crown, union(screw, revolved(build))),
    )
    return _subject("screw_post", solids, Profile((0.0, depth), (radius, 0.5)), root)


def _root_filling(rng: np.random.Generator) -> NoImplant:
    """One canal filled to its tip, the tooth's own crown with an amalgam filling."""
    root = Root.draw(rng)
    wide = float(rng.uniform(0.5, 0.8))
    canal = Canal(-1.0, root.length_mm - float(rng.uniform(0.5, 1.5)), wide)
    solids = (*root.parts((canal,), None), *root.crown(rng), amalgam(rng))
    outline = Profile((0.0, canal.end_mm), (wide, 0.2))
    return _subject("root_filling", solids, outline, root)


def _two_canals(rng: np.random.Generator) -> NoImplant:
    """A molar's two roots, both filled, under a metal crown."""
    root = Root.draw(rng, two=True)
    end = root.length_mm - float(rng.uniform(0.6, 1.4))
    canals = (Canal(1.0, end, float(rng.uniform(0.4, 0.6))),) * 2
    stump = revolved(Profile((-4.0, 0.0), (2.2, root.neck_mm - 0.3)))
    crown = draw_crown("metal crown", root.neck_mm + 0.15, 0.0, -7.5, rng)
    core = part_of(stump, "dentine", Profile((-4.0, 0.0), (4.0, 4.0)))
    solids = (*root.parts(canals, None), core, crown_part(crown, stump))
    outline = Profile((0.0, end), (root.apart_mm * 0.6 + 0.3, root.apart_mm + 0.3))
    return _subject("two_canals", solids, outline, root)


def _fixation_screw(rng: np.random.Generator) -> NoImplant:
    """A bone screw with a flat head, as left after a graft."""
    length, radius = float(rng.uniform(7, 11)), float(rng.uniform(0.75, 1.0))
    screw, outline = _bone_screw(length, radius)
    part = part_of(screw, "ti_6al_4v", outline)
    sizes = {"collar_height_mm": 0.3, "body_width_mm": 2 * radius}
    return NoImplant("fixation_screw", (part,), outline, sizes)


def _fixation_plate(rng: np.random.Generator) -> NoImplant:
    """A thin plate with holes across the film, the middle one holding a screw."""
    length, radius = float(rng.uniform(6, 9)), float(rng.uniform(0.9, 1.1))
    screw, outline = _bone_screw(length, radius)
    half = float(rng.uniform(9, 12))
    bar = Profile((-1.9, 1.9), (half, half))
    holes = [CrossHole(0.0, 2.0, 2.0, 0.0, across).field() for across in (-7.6, -3.8, 3.8, 7.6)]
    plate = without(slab(bar, 1.0, 0.0), *holes, screw)
    part = Part(lambda rays: (plate(rays),), ("titanium",), half + 1, -1.95, 1.95, depth_mm=0.6)
    sizes = {"collar_height_mm": 0.3, "body_width_mm": 2 * radius}
    return NoImplant("fixation_plate", (part_of(screw, "titanium", outline), part), outline, sizes)


def _bone_screw(length: float, radius: float) -> tuple[Callable[..., np.ndarray], Profile]:
    pitch, cut = 0.9, 0.3
    outline = Profile(
        (0.0, 0.9, 0.9, length - 1.2, length), (1.5 * radius, 1.7 * radius, radius, radius, 0.15)
    )
    run = Profile((1.2, 1.6, length - 0.6, length - 0.2), (0.0, cut, cut, 0.0))
    screw = revolved(outline, (Thread(pitch, 1, 0.1, 0.5, run, apical_share=0.85),))
    return without(screw, prism(4, 0.7, -0.1, 0.7, 20.0)), outline


def _bridge(rng: np.random.Generator) -> NoImplant:
    """A pontic over a healed ridge, held by a thin wing on the neighbour on the left."""
    crown = draw_crown(_style(rng), 2.4, 0.0, -float(rng.uniform(7, 8)), rng)
    base = Profile((0.0, 0.6, 1.4), (2.4, 1.9, 0.3))
    joints = slab(Profile((-4.8, -2.6), (4.4, 4.4)), 2.2, 0.0)
    wings = slab(Profile((-6.2, -2.2), (8.4, 8.4)), 0.7, 0.0)
    right: Field = lambda rays: rays.x  # noqa: E731 - one expression
    held = without(union(joints, wings), crown.solid(), right)
    bar = Part(lambda rays: (held(rays),), (crown.material,), 8.6, -6.25, -2.15, depth_mm=1.2)
    foot = "porcelain" if crown.veneer_mm else crown.material
    nowhere = revolved(Profile((-0.02, -0.01), (0.0, 0.0)))
    solids = (crown_part(crown, nowhere), part_of(revolved(base), foot, base), bar)
    sizes = {"collar_height_mm": 2.0, "body_width_mm": 4.8}
    return NoImplant("bridge", solids, Profile((0.0, 0.6, 1.4), (2.4, 1.9, 0.3)), sizes)


def _style(rng: np.random.Generator) -> str:
    return str(rng.choice(list(STYLES), p=STYLE_SHARES))


def _subject(kind: str, solids: tuple[Part, ...], outline: Profile, root: Root) -> NoImplant:
    sizes = {"collar_height_mm": root.crest_mm, "body_width_mm": 2 * root.neck_mm}
    return NoImplant(kind, solids, outline, sizes)


MAKERS: dict[str, Callable[[np.random.Generator], NoImplant]] = {
    "cast_post": _cast_post,
    "screw_post": _screw_post,
    "root_filling": _root_filling,
    "two_canals": _two_canals,
    "fixation_screw": _fixation_screw,
    "fixation_plate": _fixation_plate,
    "bridge": _bridge,
}
KINDS: tuple[str, ...] = tuple(MAKERS)
