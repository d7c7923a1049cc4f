"""A small, quick picture: what an implant of this family would look like on a film like yours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sample_images import everyday
from sample_images.crest_line import draw_crests
from sample_images.exposure import transmission
from sample_images.fixture import Fixture
from sample_images.imaging import draw_camera, expose, to_pixels
from sample_images.no_implant import NoImplant
from sample_images.scene import Facts, Scene, Wanted, draw_subject, family_of, one_of
from sample_images.seated import Seated, seat
from sample_images.simulated import Pixels
from sample_images.site import ABOVE_MM, stand
from sample_images.truth import points_px
from sample_images.view import View

TONES = ("linear", "log", "gamma")
ROOM_BELOW_MM = 2.5
PLACE = ("lower", "36")


@dataclass(frozen=True, slots=True)
class Aim:
    """How the film to compare with was taken.

    Attributes
    ----------
    shape : (rows, columns) of the picture.
    mm_per_px : float or None
        Object mm per pixel; None fits crown and implant into the picture.
    tilt_deg, turn_deg : float
        As in `view.View`.
    tone : str
        One of `TONES`.
    """

    shape: tuple[int, int] = (400, 300)
    mm_per_px: float | None = None
    tilt_deg: float = 0.0
    turn_deg: float = 0.0
    tone: str = "linear"

    def __post_init__(self) -> None:
        one_of("tone", self.tone, TONES)


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """A picture and where things are on it.

    Attributes
    ----------
    pixels : (H, W) uint8 array, bright = radiopaque
    points_px : dict
        As in a film's truth.
    mm_per_px : float
    """

    pixels: Pixels
    points_px: dict[str, Any]
    mm_per_px: float


def look(
    family: str,
    *,
    fixture: Fixture | None = None,
    facts: Facts | None = None,
    seated: str = "nothing",
    aim: Aim | None = None,
    seed: int = 0,
) -> Look:
    """Draw an implant of a family, in the lower jaw's way up, without noise to speak of.

    Parameters
    ----------
    fixture : Fixture, optional
        This very implant; drawn from the family's recipe and `facts` where left out.
    seated : str
        One of `seated.KINDS`.
    """
    aim = aim or Aim()
    shape_rng, site_rng, image_rng = np.random.default_rng(seed).spawn(3)
    body = fixture or draw_subject(family, facts, Wanted(seated=seated), shape_rng)
    view = _view(body, aim)
    crests = draw_crests(body, site_rng)
    scene = Scene(
        key=family,
        family=family_of(family),
        group=None,
        fixture=body,
        seated=seat(body, seated, shape_rng) if isinstance(body, Fixture) else Seated("nothing"),
        site=stand(body, view, PLACE, crests, None, site_rng),
        camera=replace(draw_camera("clean", image_rng), tone=aim.tone, blur_px=0.5),
        scale="none",
    )
    pixels: Pixels = to_pixels(expose(transmission(scene, image_rng), scene.camera, image_rng))
    return Look((pixels >> 8).astype(np.uint8), points_px(scene), view.mm_per_px)


def _view(fixture: Fixture | NoImplant, aim: Aim) -> View:
    rows, columns = aim.shape
    tall, wide = ABOVE_MM + fixture.length_mm + ROOM_BELOW_MM, 2 * (fixture.reach_mm + 2.0)
    mm_per_px = aim.mm_per_px or max(tall / rows, wide / columns)
    return View(
        mm_per_px=mm_per_px,
        platform_px=((columns - 1) / 2, rows * ABOVE_MM / tall),
        turn_deg=aim.turn_deg,
        tilt_deg=aim.tilt_deg,
        shape=aim.shape,
        source_mm=everyday.CLEAN_SOURCE_MM,
        receptor_mm=everyday.CLEAN_RECEPTOR_MM,
    )
