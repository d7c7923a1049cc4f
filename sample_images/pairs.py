"""What can be detected on a film, from noise-free pairs with and without each feature.

The pair is cast over the implant's surroundings alone, behind one and the same mouth; what differs
is the feature, so that only its own stretch of the implant is cast a second time. Its contrast to
noise is that of `detectability`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sample_images.anatomy import Tissue
from sample_images.arrays import Array
from sample_images.cross_hole import CrossHole
from sample_images.detectability import DETECTABLE, contrast_to_noise
from sample_images.exposure import Shade, receive, shade, tissue
from sample_images.fixture import Fixture
from sample_images.imaging import Received
from sample_images.rays import Part
from sample_images.scene import Scene
from sample_images.seated import Seated
from sample_images.solids import Rays

FEATURES = ("perforations", "flutes", "micro_threads", "bore")
MARGIN_MM = 1.0
AIR_MM = 5.0  # above the platform: the window of a film reaches from its air to its metal
# seeds that differ: of the film's own mouth, and of others, as one would leave the bone's
# share of the noise a matter of luck
MOUTHS = (1, 2, 3, 4, 5)


@dataclass(frozen=True, slots=True, eq=False)
class Without:
    """The scene without one feature, which lies between two heights; mm from the platform."""

    scene: Scene
    top_mm: float
    end_mm: float


def by_contrast(scene: Scene, told: dict[str, Any], solids: Shade) -> dict[str, Any]:
    """Truth whose `detectable` is computed, with the contrast to noise it rests on.

    A feature is detectable at a contrast to noise above `detectability.DETECTABLE`. Threads, rings
    and steps keep the rule's answer, and so does a film without an implant.

    Parameters
    ----------
    solids : Shade
        Of the whole film, as `exposure.shade` casts it.
    """
    if not isinstance(scene.fixture, Fixture):
        return told
    near, rows, columns = _cut(scene, -AIR_MM, scene.fixture.length_mm + MARGIN_MM)
    around = Shade(solids.transmissions[:, rows, columns], solids.displaced_mm[rows, columns])
    contrasts, vents = _contrasts(near, scene.fixture, around, told)
    judged = {key: {"detectable": bool(value > DETECTABLE)} for key, value in contrasts.items()}
    return told | {
        "findings": {key: entry | judged.get(key, {}) for key, entry in told["findings"].items()},
        "vents": vents,
        "detectable_by": "contrast",
        "contrast_to_noise": {key: round(value, 3) for key, value in contrasts.items()},
    }


def _contrasts(
    near: Scene, fixture: Fixture, solids: Shade, told: dict[str, Any]
) -> tuple[dict[str, float], list[dict[str, Any]]]:
    """Contrast to noise of every feature that is there, and the vents with their own."""
    mouths = [tissue(near.site, np.random.default_rng(seed)) for seed in MOUTHS]
    present = receive(near, solids, mouths[0])
    there = [key for key in FEATURES if told["findings"][key]["there"]]
    case = _Pair(near, solids, mouths, present)
    out = {key: case.contrast(_without(near, fixture, key)) for key in there}
    vents = []
    for vent, other in zip(told["vents"], _without_each_vent(near, fixture), strict=True):
        value = case.contrast(other)
        judged = {"contrast_to_noise": round(value, 3), "detectable": bool(value > DETECTABLE)}
        vents.append(vent | judged)
        out["vents"] = max(out.get("vents", 0.0), value)
    return out, vents


@dataclass(frozen=True, slots=True, eq=False)
class _Pair:
    """An implant's surroundings as they are, to be held against those without a feature."""

    near: Scene
    solids: Shade
    mouths: Sequence[Tissue]
    present: Received

    def contrast(self, other: Without) -> float:
        """Contrast to noise, casting anew only where the feature is."""
        near, scene = self.near, replace(other.scene, site=self.near.site)
        strip, rows, columns = _cut(scene, other.top_mm, other.end_mm)
        fresh = shade(strip)
        patched = Shade(self.solids.transmissions.copy(), self.solids.displaced_mm.copy())
        patched.transmissions[:, rows, columns] = fresh.transmissions
        patched.displaced_mm[rows, columns] = fresh.displaced_mm
        absent, *others = (receive(near, patched, mouth) for mouth in self.mouths)
        each = [
            contrast_to_noise(self.present, absent, near.camera, elsewhere=other)
            for other in others
        ]
        # the noise is the mean over the other mouths, in the square
        return float(np.mean(np.square(np.reciprocal(each))) ** -0.5) if min(each) > 0 else 0.0


def _cut(scene: Scene, top_mm: float, end_mm: float) -> tuple[Scene, slice, slice]:
    """Scene on a film cut down to a stretch of the body, and which rows and columns these are."""
    view, reach = scene.site.view, scene.fixture.reach_mm + MARGIN_MM
    # a tilted beam shows the near and the far side of one height this far apart
    spread = reach * abs(math.sin(math.radians(view.tilt_deg)))
    heights = (top_mm - spread, end_mm + spread)
    corners = [view.to_film(side * reach, z) for side in (-1, 1) for z in heights]
    columns, rows = (
        _span([corner[axis] for corner in corners], view.shape[1 - axis]) for axis in (0, 1)
    )
    x, y = view.platform_px
    small = replace(
        view,
        platform_px=(x - columns.start, y - rows.start),
        shape=(rows.stop - rows.start, columns.stop - columns.start),
    )
    return replace(scene, site=replace(scene.site, view=small, ball=None)), rows, columns


def _span(at: list[float], side: int) -> slice:
    first = int(np.clip(np.floor(min(at)), 0, side - 2))
    return slice(first, int(np.clip(np.ceil(max(at)), first + 2, side)))


def _without(scene: Scene, fixture: Fixture, feature: str) -> Without:
    if feature == "bore":
        filled: Any = _Filled(fixture, scene.seated)
        end = fixture.bore.depth_mm + fixture.bore.width_mm  # the drill's point included
        return Without(replace(scene, fixture=filled), fixture.top_mm - 0.1, end)
    top, end = _stretch(fixture, feature)
    return Without(replace(scene, fixture=fixture.without(feature)), top - 0.1, end + 0.1)


def _stretch(fixture: Fixture, feature: str) -> tuple[float, float]:
    if feature == "perforations":
        ends = [_hole_ends(hole) for hole in fixture.perforations]
        return min(top for top, _ in ends), max(end for _, end in ends)
    if feature == "micro_threads" and fixture.micro_thread is not None:
        depth = fixture.micro_thread.depth
        return depth.top_mm, depth.end_mm
    if feature == "flutes" and fixture.flutes is not None:
        return fixture.flutes.top_mm, fixture.length_mm
    return fixture.top_mm, fixture.length_mm


def _hole_ends(hole: CrossHole) -> tuple[float, float]:
    return hole.z_mm - hole.height_mm / 2, hole.z_mm + hole.height_mm / 2


def _without_each_vent(scene: Scene, fixture: Fixture) -> Iterator[Without]:
    for index, vent in enumerate(fixture.vents):
        rest = fixture.vents[:index] + fixture.vents[index + 1 :]
        top, end = _hole_ends(vent)
        yield Without(replace(scene, fixture=replace(fixture, vents=rest)), top - 0.1, end + 0.1)


@dataclass(frozen=True, slots=True, eq=False)
class _Filled:
    """An implant whose bore is filled wherever nothing is seated in it.

    Gaps about a screw are left: the channel is what is empty below it.
    """

    fixture: Fixture
    seated: Seated

    @property
    def reach_mm(self) -> float:
        return self.fixture.reach_mm

    def parts(self) -> tuple[Part, ...]:
        """As the ray caster takes them; the first part's second field is the bore."""
        body, *others = self.fixture.parts()
        fields = body.fields

        def filled(rays: Rays) -> tuple[Array, ...]:
            solid, void, *more = fields(rays)
            inside = self._taken(rays, void)
            return solid, np.minimum(void, inside), *more, np.minimum(void, -inside)

        names = (*body.materials, self.fixture.material)
        return (replace(body, fields=filled, materials=names), *others)

    def _taken(self, rays: Rays, void: Array) -> Array:
        """Positive where the bore is not to be filled."""
        if self.seated.inner is not None:
            return np.asarray(np.float32(self.seated.inner.end_mm) - rays.z + 0 * void)
        metal = self.seated.metal
        return np.float32(-1) + 0 * void if metal is None else metal(rays)
