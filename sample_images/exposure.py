"""What reaches the receptor of one scene: implant, what sits on it, the mouth and the ball."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from sample_images.anatomy import Tissue, draw_tissue
from sample_images.arrays import Array
from sample_images.ball_shadow import cast_ball, shadow_px
from sample_images.imaging import Camera, Received, blurred
from sample_images.rays import Part, cast
from sample_images.site import Site
from sample_images.spectrum import Beam

SQUARE_STD = 12**-0.5  # standard deviation of a square spot, over its width


class HasParts(Protocol):
    """Whatever hands its solids to the ray caster."""

    def parts(self) -> tuple[Part, ...]:
        """Solids with their materials."""


class Scene(Protocol):
    """What an exposure needs to know."""

    @property
    def fixture(self) -> HasParts:
        """Stands in the bone and displaces it."""

    @property
    def seated(self) -> HasParts:
        """Stands above the bone."""

    @property
    def site(self) -> Site:
        """Where everything is."""

    @property
    def camera(self) -> Camera:
        """Beam and receptor."""


@dataclass(frozen=True, slots=True, eq=False)
class Shade:
    """Transmission of the solids at every energy, (energies, H, W), and the bone they displace."""

    transmissions: Array
    displaced_mm: Array


def transmission(scene: Scene, rng: np.random.Generator) -> Received:
    """What reaches the receptor, the focal spot's penumbra included, without blur or noise.

    The same state of `rng` gives the same mouth, whatever stands in it.
    """
    return receive(scene, shade(scene), tissue(scene.site, rng))


def shade(scene: Scene) -> Shade:
    """Cast all that is drawn as solids: the slow half of `transmission`, apart from any mouth."""
    standing = scene.fixture.parts()
    parts = (*standing, *scene.seated.parts())
    shadow = cast(parts, scene.site.view, scene.camera.beam())
    return Shade(shadow.transmissions, _total_mm(shadow.paths_mm[: len(standing)]))


def receive(scene: Scene, solids: Shade, around: Tissue) -> Received:
    """Put solids into a mouth, as `tissue` draws it, and sum over the beam's energies."""
    view, beam = scene.site.view, scene.camera.beam()
    through = solids.transmissions * _through(around.paths_mm(solids.displaced_mm), beam)
    if scene.site.ball is not None:
        cast_ball(through, scene.site.ball, view, beam)
    penumbra = SQUARE_STD * view.penumbra_px(scene.camera.focal_spot_mm)
    signal, variance = beam.signal(through), beam.variance(through)
    return Received(blurred(signal, penumbra), blurred(variance, penumbra))


def _total_mm(paths_mm: Iterable[Array]) -> Array:
    return np.asarray(sum(path.sum(axis=0) for path in paths_mm))


def tissue(site: Site, rng: np.random.Generator) -> Tissue:
    """Draw the mouth of a site; the same state of `rng` gives the same."""
    view = site.view
    x = (np.arange(view.shape[1]) - view.platform_px[0]) * view.mm_per_px
    y = (np.arange(view.shape[0]) - view.platform_px[1]) * view.mm_per_px
    return draw_tissue(site.mouth, x, y, rng)


def _through(paths_mm: Mapping[str, Array], beam: Beam) -> Array:
    """Transmission of everything but the metal at every energy, (energies, H, W)."""
    mus = np.stack([beam.mu_per_mm(material) for material in paths_mm], axis=1)
    stacked = np.stack([path.astype(np.float32).ravel() for path in paths_mm.values()])
    exponent = -mus.astype(np.float32) @ stacked
    shape = next(iter(paths_mm.values())).shape
    return np.asarray(np.exp(exponent, out=exponent).reshape(-1, *shape))


def ball_px(site: Site) -> tuple[tuple[float, float], float]:
    """Middle and mean radius of the shadow of the site's ball, px."""
    assert site.ball is not None
    return shadow_px(site.ball, site.view)
