"""One scene: an implant, what sits on it, where all stands, how it is filmed; drawn from a seed."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from sample_images import everyday, no_implant, strangers
from sample_images.fixture import Fixture, draw_fixture
from sample_images.imaging import LEVELS, Camera, draw_camera
from sample_images.no_implant import NoImplant
from sample_images.recipe import FOLDER, load_recipe
from sample_images.seated import KINDS, Seated, seat
from sample_images.site import ROWS, Site, draw_site

Facts = Mapping[str, Any]
FAMILIES: tuple[str, ...] = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
STRANGERS = tuple(f"stranger-{kind}" for kind in strangers.KINDS)
NO_IMPLANT = tuple(f"no_implant-{kind}" for kind in no_implant.KINDS)
KEYS = (*FAMILIES, *STRANGERS, *NO_IMPLANT)
FEWEST_ROWS, MOST_ROWS = 100, 4000
SCALES = ("ball", "line", "pixel", "none")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the caller asks for instead of leaving it to chance.

    Attributes
    ----------
    scale : str
        What of known size the marks name: one of `SCALES`; "pixel" is the receptor's pixel size.
    seated : str or None
        One of `seated.KINDS`.
    jaw : str or None
        "upper" or "lower".
    stress : bool
        Whether the family's ranges are shifted and widened.
    rows : int
        Of an upright film; fewer make the same film of larger pixels.
    """

    scale: str = "ball"
    seated: str | None = None
    jaw: str | None = None
    stress: bool = False
    rows: int = ROWS

    def __post_init__(self) -> None:
        one_of("scale", self.scale, SCALES)
        one_of("seated", self.seated or "nothing", KINDS)
        one_of("jaw", self.jaw or "lower", ("lower", "upper"))
        if not FEWEST_ROWS <= self.rows <= MOST_ROWS:
            raise ValueError(f"'rows' must be {FEWEST_ROWS} to {MOST_ROWS} (got {self.rows}).")

    def to_json(self, facts: Facts | None) -> dict[str, Any]:
        """For the truth file: two films of one name with the same entry are the same film."""
        text = json.dumps(facts, sort_keys=True) if facts else ""
        return asdict(self) | {"facts": f"{zlib.crc32(text.encode()):08x}" if facts else None}


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Everything but the film's pixels.

    `key` is what was asked for; `family` the answer a reader should give: the family, or
    "none_of_these" or "not_an_implant"; `fixture` then what would be taken for an implant.
    """

    key: str
    family: str
    group: str | None
    fixture: Fixture | NoImplant
    seated: Seated
    site: Site
    camera: Camera
    scale: str


@dataclass(frozen=True, slots=True)
class Streams:
    """Separate streams of chance: a change of one subject leaves the others as they were."""

    shape: np.random.Generator
    site: np.random.Generator
    image: np.random.Generator
    hand: np.random.Generator


def one_of(name: str, value: str, allowed: tuple[str, ...]) -> None:
    """Refuse a value that is not among those allowed."""
    if value not in allowed:
        raise ValueError(f"'{name}' must be one of {', '.join(allowed)} (got '{value}').")


def compose(
    key: str, seed: int, level: str, facts: Facts | None, wanted: Wanted
) -> tuple[Scene, Streams]:
    """Draw a scene; the same arguments give the same scene.

    Returns
    -------
    The scene, and the streams as they stand after it.
    """
    one_of("level", level, LEVELS)
    streams = _streams(key, seed, level)
    fixture = draw_subject(key, facts, wanted, streams.shape)
    kind = everyday.draw_seated(level, fixture, streams.shape)
    scene = Scene(
        key=key,
        family=family_of(key),
        group=_group(key, fixture),
        fixture=fixture,
        seated=_seat(fixture, wanted.seated or kind, streams.shape),
        site=draw_site(fixture, level, wanted.scale, streams.site, wanted.jaw, wanted.rows),
        camera=draw_camera(level, streams.image),
        scale=wanted.scale,
    )
    return scene, streams


def family_of(key: str) -> str:
    """Answer a reader should give to this film."""
    if key in STRANGERS:
        return "none_of_these"
    return "not_an_implant" if key in NO_IMPLANT else key


def draw_subject(
    key: str, facts: Facts | None, wanted: Wanted, rng: np.random.Generator
) -> Fixture | NoImplant:
    """Draw the implant of a family, a stranger, or what is no implant.

    Raises
    ------
    ValueError
        An unknown key, or a wish to stress facts where there are none.
    """
    if wanted.stress and not facts:
        raise ValueError(f"'stress' shifts and widens facts, and there are none on '{key}'.")
    if key in STRANGERS:
        return strangers.draw_stranger(key.removeprefix("stranger-"), rng)
    if key in NO_IMPLANT:
        return no_implant.draw_no_implant(key.removeprefix("no_implant-"), rng)
    return draw_fixture(load_recipe(key), rng, facts, stress=wanted.stress)


def _group(key: str, fixture: Fixture | NoImplant) -> str | None:
    """Name the connection's group; None where no family knows it."""
    if key in FAMILIES and isinstance(fixture, Fixture):
        return fixture.group(load_recipe(key)["group"])
    return None


def _seat(fixture: Fixture | NoImplant, kind: str, rng: np.random.Generator) -> Seated:
    return seat(fixture, kind, rng) if isinstance(fixture, Fixture) else Seated("nothing")


def _streams(key: str, seed: int, level: str) -> Streams:
    entropy = [seed, zlib.crc32(key.encode()), LEVELS.index(level)]
    return Streams(*np.random.default_rng(entropy).spawn(4))
