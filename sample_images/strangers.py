"""Implants that belong to no family: invented bodies and wrong combinations of real features."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from sample_images.arrays import Array
from sample_images.fixture import Fixture, make_fixture
from sample_images.solids import Field, Profile, Rays
from sample_images.thread_cut import cut_threads
from sample_images.vocabulary import ALL_FORMS

KNOTS = 160
DRAWS = 100
THINNEST_WALL_MM = 0.2

Sizes = dict[str, float]
Forms = dict[str, str]


def draw_stranger(kind: str, rng: np.random.Generator) -> Fixture:
    """Draw an implant of one of `KINDS`; every size is invented.

    Raises
    ------
    ValueError
        No such kind.
    """
    if kind not in MAKERS:
        raise ValueError(f"'kind' must be one of {', '.join(KINDS)} (got '{kind}').")
    for _ in range(DRAWS):
        fixture = MAKERS[kind](rng)
        if fixture.thinnest_wall_mm() >= THINNEST_WALL_MM:
            return fixture
    raise ValueError(f"'{kind}' leaves no wall round its bore; narrow the bore.")


def _hourglass(rng: np.random.Generator) -> Fixture:
    """Wide at both ends, thin in the middle, with a fine thread all the way."""
    sizes = _sizes(rng, body_width_mm=5.4, thread_pitch_mm=0.45, thread_depth_mm=0.22)
    fixture = _make(sizes, {"thread": "v", "starts": "1"}, rng)
    return _reshaped(fixture, lambda share: 1 - 0.42 * np.sin(math.pi * share) ** 2)


def _three_flats(rng: np.random.Generator) -> Fixture:
    """A screw milled to a triangle with rounded corners."""
    sizes = _sizes(rng, body_width_mm=5.2, taper_deg=1.0)
    fixture = _make(sizes, {"thread": "v"}, rng)
    turn = rng.uniform(0, 120)
    flats = [(turn + 120 * k, 0.62 * sizes["body_width_mm"] / 2 + 0.25) for k in range(3)]
    return _milled(fixture, flats)


def _waisted(rng: np.random.Generator) -> Fixture:
    """Two smooth drums on a thin, coarsely threaded rod."""
    sizes = _sizes(rng, body_width_mm=5.6, length_mm=float(rng.uniform(12, 15)), bore_depth_mm=3.2)
    fixture = _make(sizes, {"thread": "square"}, rng)

    def drums(share: Array) -> Array:
        thin = (share > 0.34) & (share < 0.72)
        return np.where(thin, 0.55, 1.0)

    return _reshaped(fixture, drums)


def _woodscrew(rng: np.random.Generator) -> Fixture:
    """A very coarse, sharp thread on a thin cone, its top open like a funnel."""
    sizes = _sizes(rng, body_width_mm=5.8, taper_deg=5.5, thread_pitch_mm=2.4, thread_depth_mm=1.05)
    sizes |= {"mouth_width_mm": 3.6, "mouth_cone_deg": 30.0, "mouth_depth_mm": 2.0}
    sizes |= {"bore_depth_mm": 3.5, "collar_height_mm": 2.2, "apex_round_mm": 2.0}
    return _make(sizes, {"thread": "reverse buttress", "apex": "pointed"}, rng)


def _octagon_plateau(rng: np.random.Generator) -> Fixture:
    """A coarse square thread under a sloped shoulder, with an octagon standing on it."""
    sizes = _sizes(rng, body_width_mm=5.0, thread_pitch_mm=1.7, thread_depth_mm=0.5)
    sizes |= {"platform_width_mm": 3.9, "collar_height_mm": 2.6, "top_flats_mm": 3.1}
    sizes |= {"top_height_mm": 1.7}
    return _make(sizes, {"thread": "square", "index": "male octagon", "collar": "sloped"}, rng)


def _bulb(rng: np.random.Generator) -> Fixture:
    """Smooth and thin above, a ringed bulb below."""
    sizes = _sizes(rng, body_width_mm=5.6, thread_pitch_mm=0.7, thread_depth_mm=0.4)
    sizes |= {"collar_height_mm": 0.5 * sizes["length_mm"], "apex_round_mm": 2.2}
    fixture = _make(sizes, {"thread": "rings", "apex": "dome"}, rng)
    return _reshaped(fixture, lambda share: 0.62 + 0.38 / (1 + np.exp(-(share - 0.5) * 26)))


def _two_flats(rng: np.random.Generator) -> Fixture:
    """Wide rings far apart on a body flattened on two sides, with two rows of cross-holes."""
    sizes = _sizes(rng, body_width_mm=5.2, thread_pitch_mm=2.2, thread_depth_mm=0.6)
    sizes |= {"vent_width_mm": 1.1, "vent_from_apex_mm": 3.4}
    fixture = _make(sizes, {"thread": "rings", "vents": "crossed"}, rng)
    upper = tuple(replace(vent, z_mm=vent.z_mm - 2.4) for vent in fixture.vents)
    turn = rng.uniform(0, 180)
    flats = [(turn + 180 * k, 0.58 * sizes["body_width_mm"] / 2) for k in range(2)]
    return _milled(replace(fixture, vents=(*fixture.vents, *upper)), flats)


MAKERS: dict[str, Callable[[np.random.Generator], Fixture]] = {
    "hourglass": _hourglass,
    "three_flats": _three_flats,
    "waisted": _waisted,
    "woodscrew": _woodscrew,
    "octagon_plateau": _octagon_plateau,
    "bulb": _bulb,
    "two_flats": _two_flats,
}
KINDS: tuple[str, ...] = tuple(MAKERS)


def _sizes(rng: np.random.Generator, **given: float) -> Sizes:
    """Fill up the sizes that every stranger needs."""
    sizes = {
        "length_mm": float(rng.uniform(9.5, 14)),
        "taper_deg": 0.0,
        "collar_height_mm": float(rng.uniform(0.3, 1.2)),
        "thread_pitch_mm": float(rng.uniform(0.7, 1.1)),
        "thread_depth_mm": float(rng.uniform(0.3, 0.42)),
        "apex_round_mm": float(rng.uniform(0.5, 1.0)),
        "bore_depth_mm": float(rng.uniform(3.0, 4.2)),
    } | given
    sizes["body_width_mm"] *= float(rng.uniform(0.92, 1.08))
    return sizes | {"platform_width_mm": given.get("platform_width_mm", sizes["body_width_mm"])}


def _make(sizes: Sizes, forms: Forms, rng: np.random.Generator) -> Fixture:
    usual = {key: options[0] for key, options in ALL_FORMS.items()}
    return make_fixture(sizes, usual | {"screw": "M1.6", "apex": "flat"} | forms, rng)


def _reshaped(fixture: Fixture, factor: Callable[[Array], Array]) -> Fixture:
    """Scale the envelope along the axis and cut the threads again."""
    z = np.linspace(0.0, fixture.length_mm, KNOTS)
    edge = np.nextafter(fixture.length_mm, 0.0)
    r = fixture.envelope(np.minimum(z, edge)) * factor(z / fixture.length_mm)
    envelope = Profile(tuple(map(float, z)), tuple(map(float, r)))
    share = 0.3
    threads = cut_threads(fixture.sizes, fixture.forms, envelope, fixture.bore, share)
    return replace(fixture, envelope=envelope, threads=threads)


def _milled(fixture: Fixture, flats: list[tuple[float, float]]) -> Fixture:
    """Mill flats on the body below the collar; each is (direction in degrees, mm from the axis)."""
    top = np.float32(fixture.sizes["collar_height_mm"])
    return replace(fixture, shaved=tuple(_beyond(turn, away, top) for turn, away in flats))


def _beyond(turn_deg: float, away_mm: float, top_mm: np.floating) -> Field:
    cos, sin = (np.float32(f(math.radians(turn_deg))) for f in (math.cos, math.sin))

    def field(rays: Rays) -> Array:
        outside = rays.x * cos + rays.y * sin - np.float32(away_mm)
        return np.asarray(np.minimum(outside, rays.z - top_mm))

    return field
