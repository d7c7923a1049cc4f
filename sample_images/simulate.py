"""The front door: one simulated periapical film of one family, with its exact truth and marks."""

from __future__ import annotations

import json
import math
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from sample_images import truth
from sample_images.anatomy import exponent
from sample_images.arrays import Array
from sample_images.fixture import Fixture, draw_fixture
from sample_images.hand import place_marks
from sample_images.imaging import LEVELS, Camera, draw_camera, expose, to_pixels
from sample_images.materials import mu_per_mm
from sample_images.rays import LATTICE, Part, cast
from sample_images.recipe import FOLDER, load_recipe
from sample_images.seated import KINDS, Seated, seat
from sample_images.site import BALL_MM, Site, draw_site
from sample_images.solids import hollowed

FAMILIES: tuple[str, ...] = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """A film and what is true of it.

    `pixels` is uint16 (H, W), bright = radiopaque; `truth` and `marks` are the files' contents.
    """

    pixels: Array
    truth: dict[str, Any]
    marks: dict[str, Any]

    @property
    def stem(self) -> str:
        """File name without its ending."""
        return f"{self.truth['family']}-{self.truth['level']}-{self.truth['seed']}"


@dataclass(frozen=True, slots=True, eq=False)
class _Scene:
    group: str
    fixture: Fixture
    seated: Seated
    site: Site
    camera: Camera
    scale: str


def simulate(
    family: str,
    seed: int,
    level: str = "clinical",
    facts: Mapping[str, tuple[float, float]] | None = None,
    **wanted: str | None,
) -> Simulated:
    """Simulate one film; the same arguments give the same bytes.

    Parameters
    ----------
    family : str
        One of `FAMILIES`.
    level : str
        "clean" (square to the beam, hardly any noise), "clinical" or "hard".
    facts : mapping of dimension to (low, high), optional
        Replaces single ranges of the family's recipe.
    scale : str, by keyword
        "ball" (a 5 mm steel ball, the usual), "line" (a callipered neighbour) or "none".
    seated, jaw : str, by keyword
        Instead of drawing them: one of `seated.KINDS`, "upper" or "lower".

    Raises
    ------
    ValueError
        An unknown family, level, scale, part or jaw.
    """
    scene, rngs = _compose(family, seed, level, facts, _Wanted(**wanted))
    told = _truth(scene) | {"family": family, "level": level, "seed": seed}
    grey = expose(_transmission(scene, rngs.image), scene.camera, rngs.image)
    return Simulated(_turned(to_pixels(grey), scene.site), told, _marks(scene, told, rngs.hand))


def describe(
    family: str,
    seed: int,
    level: str = "clinical",
    facts: Mapping[str, tuple[float, float]] | None = None,
    **wanted: str | None,
) -> dict[str, Any]:
    """Tell the truth of the film `simulate` would make of the same arguments, unmade."""
    scene, _ = _compose(family, seed, level, facts, _Wanted(**wanted))
    return _truth(scene) | {"family": family, "level": level, "seed": seed}


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What the caller asks for instead of leaving it to chance."""

    scale: str | None = None
    seated: str | None = None
    jaw: str | None = None

    def __post_init__(self) -> None:
        _one_of("scale", self.scale or "ball", ("ball", "line", "none"))
        _one_of("seated", self.seated or "nothing", KINDS)
        _one_of("jaw", self.jaw or "lower", ("lower", "upper"))


@dataclass(frozen=True, slots=True)
class _Rngs:
    """Separate streams, so that a change of one subject leaves the others as they were."""

    shape: np.random.Generator
    site: np.random.Generator
    image: np.random.Generator
    hand: np.random.Generator


def _one_of(name: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        raise ValueError(f"'{name}' must be one of {', '.join(allowed)} (got '{value}').")


def _compose(
    family: str,
    seed: int,
    level: str,
    facts: Mapping[str, tuple[float, float]] | None,
    wanted: _Wanted,
) -> tuple[_Scene, _Rngs]:
    """Draw everything but the film's pixels."""
    _one_of("level", level, LEVELS)
    recipe = load_recipe(family)
    key = [seed, zlib.crc32(family.encode()), LEVELS.index(level)]
    rngs = _Rngs(*np.random.default_rng(key).spawn(4))
    fixture = draw_fixture(recipe, rngs.shape, facts)
    kind = _draw_kind(level, rngs.shape)
    scale = wanted.scale or "ball"
    scene = _Scene(
        group=recipe["group"],
        fixture=fixture,
        seated=seat(fixture, wanted.seated or kind, rngs.shape),
        site=draw_site(fixture, level, scale, rngs.site, wanted.jaw),
        camera=draw_camera(level, rngs.image),
        scale=scale,
    )
    return scene, rngs


def _draw_kind(level: str, rng: np.random.Generator) -> str:
    """Two thirds of everyday films have something seated on the implant."""
    share = rng.random()
    if level == "clean":
        return "healing part" if share < 0.25 else "nothing"
    if share < 0.45:
        return "abutment and crown"
    return "cover screw" if share < 0.67 else "nothing"


def _transmission(scene: _Scene, rng: np.random.Generator) -> Array:
    fixture, view, energy = scene.fixture, scene.site.view, scene.camera.energy_kev
    body = Part(
        fields=hollowed(fixture.body(), fixture.bore.void()),
        mu_per_mm=(mu_per_mm("titanium", energy), 0.0),
        reach_mm=fixture.reach_mm,
        top_mm=fixture.top_mm - 0.02,
        end_mm=fixture.length_mm + 0.02,
    )
    shadow = cast((body, *scene.seated.parts(energy)), view)
    displaced = shadow.paths_mm[0].sum(axis=0)
    x = (np.arange(view.shape[1]) - view.platform_px[0]) * view.mm_per_px
    y = (np.arange(view.shape[0]) - view.platform_px[1]) * view.mm_per_px
    tissue = np.exp(-exponent(scene.site.mouth, x, y, displaced, energy, rng))
    through = tissue * shadow.transmission
    return through if scene.site.ball is None else through * _ball_shadow(scene.site, energy)


def _ball_shadow(site: Site, energy_kev: float) -> Array:
    """Transmission of the steel ball, averaged over each pixel."""
    centre, radius = _ball_px(site)
    height, width = site.view.shape
    mu = mu_per_mm("steel", energy_kev) * BALL_MM / 2 / radius
    offset = (np.arange(LATTICE) + 0.5) / LATTICE - 0.5
    out = np.zeros((height, width))
    for right, down in zip(offset, offset[(np.arange(LATTICE) * 5) % LATTICE], strict=True):
        squared = (np.arange(width) + right - centre[0]) ** 2
        squared = squared + ((np.arange(height) + down - centre[1]) ** 2)[:, None]
        out += np.exp(-2 * mu * np.sqrt(np.clip(radius**2 - squared, 0, None)))
    return out / LATTICE


def _ball_px(site: Site) -> tuple[tuple[float, float], float]:
    ball, view = site.ball, site.view
    assert ball is not None
    x = view.platform_px[0] + ball.x_mm / view.mm_per_px
    y = view.platform_px[1] + ball.y_mm / view.mm_per_px
    return (x, y), BALL_MM / 2 / ball.mm_per_px(view)


def _turned(pixels: Array, site: Site) -> Array:
    """Turn an upper jaw's film half round: the other way up, yet not mirrored."""
    return np.ascontiguousarray(pixels[::-1, ::-1]) if site.jaw == "upper" else pixels


def _turn_point(point: list[float], site: Site) -> list[float]:
    if site.jaw != "upper":
        return point
    return [site.view.shape[1] - 1 - point[0], site.view.shape[0] - 1 - point[1]]


def _truth(scene: _Scene) -> dict[str, Any]:
    site, fixture, view = scene.site, scene.fixture, scene.site.view
    shown_left, shown_right = site.crests_mm if site.jaw == "lower" else site.crests_mm[::-1]
    crests = (shown_left, shown_right) if site.mesial_is_left else (shown_right, shown_left)
    blur_mm = scene.camera.blur_px * view.mm_per_px
    return {
        "radiofixture": "truth/1",
        "group": scene.group,
        "measures": truth.measures(fixture, view.tilt_deg, crests),
        "forms": truth.forms(fixture, scene.seated),
        "findings": truth.findings(fixture, scene.seated, view.tilt_deg, blur_mm),
        "vents": truth.vents(fixture),
        "points_px": _points(scene),
        "mm_per_px": view.mm_per_px,
        "seated": scene.seated.kind,
        "tone": scene.camera.to_json(),
        "view": {"turn_deg": view.turn_deg, "jaw": site.jaw, "tooth": site.tooth},
        "ball_depth_mm": site.ball.depth_mm if site.ball else None,
    }


def _points(scene: _Scene) -> dict[str, Any]:
    site = scene.site
    points = truth.points_px(scene.fixture, site.view)
    out: dict[str, Any] = {
        "platform": [_turn_point(point, site) for point in points["platform"]],
        "apex": _turn_point(points["apex"], site),
        "ball": None,
        "line": None,
    }
    if site.ball:
        (x, y), radius = _ball_px(site)
        turn = math.radians(20)
        ends = [[x + s * radius * math.cos(turn), y + s * radius * math.sin(turn)] for s in (-1, 1)]
        out["ball"] = [_turn_point(end, site) for end in ends]
    if scene.scale == "line":
        origin, mm = site.view.platform_px, site.view.mm_per_px
        ends = [[origin[0] + x / mm, origin[1] + y / mm] for x, y in site.mouth.teeth[0].ends_mm()]
        out["line"] = [_turn_point(end, site) for end in ends]
    return out


def _marks(scene: _Scene, told: dict[str, Any], rng: np.random.Generator) -> dict[str, Any]:
    points = told["points_px"]
    scale: dict[str, Any] = {"kind": "none"}
    if scene.scale == "ball":
        scale = {"kind": "ball", "size_mm": BALL_MM, "depth_std_mm": 2.0, "ends_px": points["ball"]}
    elif scene.scale == "line":
        width = round(scene.site.mouth.teeth[0].width_mm, 1)
        scale = {"kind": "line", "size_mm": width, "std_mm": 0.1, "ends_px": points["line"]}
    joint = "seen"
    if scene.seated.kind == "abutment and crown":
        joint = str(rng.choice(["seen", "guessed", "hidden"], p=[0.4, 0.4, 0.2]))
    return place_marks(points, scale, scene.site.tooth, joint, scene.site.view.shape, rng)


def write(simulated: Simulated, folder: Path, *, bits: int = 16) -> str:
    """Write STEM.png (16- or 8-bit grey), STEM.marks.json and STEM.truth.json; return STEM."""
    folder.mkdir(parents=True, exist_ok=True)
    pixels = simulated.pixels
    if bits == 8:
        pixels = np.round(pixels / 257).astype(np.uint8)
    stem = simulated.stem
    Image.fromarray(pixels).save(folder / f"{stem}.png", optimize=True)
    for name in ("marks", "truth"):
        text = json.dumps(getattr(simulated, name), indent=1)
        (folder / f"{stem}.{name}.json").write_text(text + "\n", encoding="utf-8")
    return stem
