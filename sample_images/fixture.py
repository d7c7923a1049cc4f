"""One implant body (the trade says *fixture*) made of a family's dimensions."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from sample_images.arrays import Array
from sample_images.bore import Bore, make_bore
from sample_images.recipe import draw
from sample_images.solids import (
    CrossHole,
    Field,
    Profile,
    Thread,
    prism,
    revolved,
    rods,
    union,
    v_flats,
    without,
)

LOBES = 24  # knots of a rounded contour
THINNEST_WALL_MM = 0.2  # a draw that leaves less metal round the bore is drawn again


@dataclass(frozen=True, slots=True, eq=False)
class Fixture:
    """Everything that decides an implant's shape. Lengths in mm, angles in degrees."""

    sizes: Mapping[str, float]
    forms: Mapping[str, str]
    envelope: Profile
    threads: tuple[Thread, ...]
    bore: Bore
    vents: tuple[CrossHole, ...]
    perforations: tuple[CrossHole, ...]
    hollow: Profile | None
    flute_turn_deg: float

    @property
    def length_mm(self) -> float:
        """Platform to apex."""
        return self.envelope.end_mm

    @property
    def platform_radius_mm(self) -> float:
        """At the platform rim."""
        return float(self.envelope(0.0))

    def thinnest_wall_mm(self) -> float:
        """Least metal between the thread roots and the bore."""
        z = np.linspace(0.0, self.bore.depth_mm, 400)
        root = self.envelope(z) - sum(thread.depth(z) for thread in self.threads)
        return float(np.min(root - self.bore.reach_mm(z)))

    @property
    def reach_mm(self) -> float:
        """Largest distance of anything from the axis."""
        return max(*self.envelope.value, self.sizes.get("top_flats_mm", 0) * 0.58) + 0.005

    @property
    def top_mm(self) -> float:
        """Highest point, above the platform where negative."""
        return min(self.envelope.top_mm, -self.sizes.get("top_height_mm", 0.0))

    def body(self) -> Field:
        """Return the metal before the bore is cut."""
        solid = revolved(self.envelope, self.threads)
        if self.forms["index"] == "male hexagon":
            flats, top = self.sizes["top_flats_mm"], -self.sizes["top_height_mm"]
            solid = union(solid, prism(6, flats, top, 0.001, self.bore.index_turn_deg))
        holes = [hole.field() for hole in self.vents + self.perforations]
        if self.hollow is not None:
            holes.append(revolved(self.hollow))
        if self.has_flutes:
            holes.append(self._flutes())
        return without(solid, *holes) if holes else solid

    @property
    def has_flutes(self) -> bool:
        """Whether cutting flutes are milled into the apical part."""
        return self.forms["flutes"] != "none"

    def _flutes(self) -> Field:
        count = {"three": 3, "four": 4}[self.forms["flutes"]]
        start = self.length_mm - self.sizes["flute_length_mm"]
        at = float(self.envelope(start + 0.5)) + 0.1
        width = self.sizes["flute_width_mm"]
        return rods(count, at, width / 2, start, self.length_mm + 1, self.flute_turn_deg)


def draw_fixture(
    recipe: Mapping[str, Any],
    rng: np.random.Generator,
    facts: Mapping[str, tuple[float, float]] | None = None,
) -> Fixture:
    """Draw an implant from a recipe, anew until the bore leaves a wall round itself.

    Raises
    ------
    ValueError
        The ranges leave no room for a wall.
    """
    for _ in range(200):
        fixture = make_fixture(*draw(recipe, rng, facts), rng)
        if fixture.thinnest_wall_mm() >= THINNEST_WALL_MM:
            return fixture
    raise ValueError(
        f"{recipe['family']}: its bore does not fit into its body; narrow the bore's ranges or "
        "widen the body's."
    )


def make_fixture(
    sizes: Mapping[str, float], forms: Mapping[str, str], rng: np.random.Generator
) -> Fixture:
    """Build the implant; `rng` only turns it about its axis and sets where a crest begins."""
    sizes = dict(sizes)
    if "flange_mm" in sizes:
        sizes["platform_width_mm"] = sizes["body_width_mm"] + sizes["flange_mm"]
    turns = rng.uniform(0, 360, 4)
    envelope = _envelope(sizes, forms)
    hollow = _hollow(sizes, envelope)
    lowest = envelope.end_mm - 1.2 if hollow is None else hollow.top_mm - 0.8
    vents = _vents(sizes, forms, turns[0])
    if vents and forms["screw"] == "none":
        lowest = min(lowest, vents[0].z_mm - vents[0].height_mm / 2 - 0.6)
    return Fixture(
        sizes=sizes,
        forms=forms,
        envelope=envelope,
        threads=_threads(sizes, forms, envelope, turns[1] / 360),
        bore=make_bore(sizes, forms, envelope.top_mm, lowest, turns[2]),
        vents=vents,
        perforations=_perforations(sizes, hollow, turns[0]),
        hollow=hollow,
        flute_turn_deg=turns[3],
    )


def _envelope(sizes: Mapping[str, float], forms: Mapping[str, str]) -> Profile:
    """Outer envelope over the thread crests: collar, body, apex."""
    length, rim, body = (
        sizes["length_mm"],
        sizes["platform_width_mm"] / 2,
        sizes["body_width_mm"] / 2,
    )
    collar, tip = sizes.get("collar_height_mm", 0.0), sizes["apex_round_mm"]
    z, r = _collar(forms["collar"], collar, rim, body)
    rise = sizes.get("shoulder_rise_mm", 0.0)
    if rise:
        z, r = [-rise, *z], [rim - rise, *r]
    end = body - math.tan(math.radians(sizes["taper_deg"])) * (length - tip - collar)
    tip_z, tip_r = _apex(forms["apex"], length, tip, end)
    return Profile((*z, *tip_z), (*r, *tip_r))


def _collar(form: str, height: float, rim: float, body: float) -> tuple[list[float], list[float]]:
    if height < 0.02:
        return [0.0, height], [rim, body]
    if form == "tulip":
        share = np.linspace(0, 1, LOBES)
        return list(share * height), list(body + (rim - body) * (1 - share) ** 2)
    if form == "sloped":
        return [0.0, height], [rim, body]
    bevel = min(abs(rim - body), height / 2)
    return [0.0, height - bevel, height], [rim, rim, body]


def _apex(form: str, length: float, tip: float, end: float) -> tuple[Array, Array]:
    share = np.linspace(0, 1, LOBES * 2)
    z = length - tip + share * tip
    if form == "dome":
        share = np.sin(share * math.pi / 2)  # closer knots where the dome turns in
        return length - tip + share * tip, end * (1 - share**2.4) ** (1 / 2.4)
    if form == "pointed":
        return z, end * (1 - 0.92 * share)
    if form == "flat":
        return z, end - 0.8 * tip * share
    return z, np.full_like(z, end)


def _threads(
    sizes: Mapping[str, float], forms: Mapping[str, str], envelope: Profile, share: float
) -> tuple[Thread, ...]:
    if forms["thread"] == "none":
        return ()
    first = sizes.get("collar_height_mm", 0.0)
    threads = []
    if forms["micro_threads"] == "yes":
        fine = _cut(
            sizes["micro_pitch_mm"], sizes["micro_depth_mm"], first, sizes["micro_height_mm"]
        )
        threads.append(
            _thread("v", fine, sizes["micro_pitch_mm"], sizes["micro_depth_mm"], 1, share)
        )
        first += sizes["micro_height_mm"]
    pitch, depth = sizes["thread_pitch_mm"], sizes["thread_depth_mm"]
    last = envelope.end_mm - max(sizes["apex_round_mm"], 0.2) - sizes.get("apex_plain_mm", 0.0)
    starts = 0 if forms["thread"] == "rings" else int(forms["starts"])
    cut = _cut(pitch, depth, first, last - first)
    return (*threads, _thread(forms["thread"], cut, pitch, depth, starts, share))


def _cut(pitch: float, depth: float, first: float, height: float) -> Profile:
    """Depth along the axis, running in and out over half a pitch."""
    run = min(pitch / 2, height / 3)
    z = (first, first + run, first + height - run, first + height)
    return Profile(z, (0.0, depth, depth, 0.0))


def _thread(
    form: str, cut: Profile, pitch: float, depth: float, starts: int, share: float
) -> Thread:
    crest, root = v_flats(pitch, depth)
    if form == "square":
        crest, root = 0.36, 0.36
    if form == "rings":
        crest, root = 0.26, 0.40
        share = 0.0
    return Thread(pitch, starts, crest, root, cut, form == "rounded", cut.top_mm + share * pitch)


def _vents(
    sizes: Mapping[str, float], forms: Mapping[str, str], turn_deg: float
) -> tuple[CrossHole, ...]:
    if forms["vents"] == "none":
        return ()
    z, width = sizes["length_mm"] - sizes["vent_from_apex_mm"], sizes["vent_width_mm"]
    height = max(sizes.get("vent_height_mm", width), width)
    azimuths = (turn_deg,) if forms["vents"] == "one" else (turn_deg, turn_deg + 90)
    return tuple(CrossHole(z, width, height, _half_turn(azimuth)) for azimuth in azimuths)


def _half_turn(azimuth_deg: float) -> float:
    """Fold an azimuth into -90 … 90: a through-hole looks the same from behind."""
    return (azimuth_deg + 90) % 180 - 90


def _hollow(sizes: Mapping[str, float], envelope: Profile) -> Profile | None:
    """Shape the inside of a thin-walled tube open below, its roof rounded."""
    if "wall_mm" not in sizes:
        return None
    end = envelope.end_mm
    top = end - min(sizes["hollow_length_mm"], end - 5.5)
    inner = float(envelope((top + end) / 2)) - sizes["wall_mm"] - sizes.get("thread_depth_mm", 0.0)
    share = np.linspace(0, 1, LOBES)
    roof = top + 0.5 * (1 - np.cos(share * math.pi / 2))
    return Profile((*roof, end + 0.01), (*(inner * np.sin(share * math.pi / 2)), inner))


def _perforations(
    sizes: Mapping[str, float], hollow: Profile | None, turn_deg: float
) -> tuple[CrossHole, ...]:
    """Rows of round holes through the tube's wall, three across each level, levels staggered."""
    if hollow is None or "perforation_width_mm" not in sizes:
        return ()
    width, step = sizes["perforation_width_mm"], sizes["perforation_spacing_mm"]
    first, last = hollow.top_mm + 0.5 + width, hollow.end_mm - width - 0.3
    levels = np.arange(first, last, step)
    return tuple(
        CrossHole(float(z), width, width, _half_turn(turn_deg + 60 * k + 30 * (row % 2)))
        for row, z in enumerate(levels)
        for k in range(3)
    )
