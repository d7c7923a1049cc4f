"""Solids as fields: a number at every point of space, positive inside, zero on the surface.

Frame of an implant, in mm: `z` along the axis from the platform (0) toward the apex, `x` across as
the film shows it, `y` toward the X-ray tube. ``x, y, z`` is right-handed, so that a thread whose
crest climbs with the angle from `x` to `y` is the usual right-hand one. `y` and `z` are handed over
with the distance `r` from the axis and the angle `phi`, which every solid needs.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array

FACE_STEEPNESS = 20.0  # plane faces rise steeper than walls, so that the corner stays sharp
TABLE_STEP_MM = 0.001
NOTHING_MM = -9.0  # radius of "no material here"


@dataclass(frozen=True, slots=True)
class Rays:
    """Points along rays: arrays that broadcast to one shape (rays, samples), in mm and radians."""

    x: Array
    y: Array
    z: Array
    r: Array
    phi: Array


Field = Callable[[Rays], Array]
Fields = Callable[[Rays], tuple[Array, ...]]  # several materials in one pass


@dataclass(frozen=True, slots=True)
class Profile:
    """A function of `z`, linear between its knots (two knots at one `z` are a step)."""

    z_mm: tuple[float, ...]
    value: tuple[float, ...]

    def __call__(self, z: float | Array) -> Array:
        """Exact value; outside the knots, the nearest one's."""
        return np.asarray(np.interp(z, self.z_mm, self.value))

    @property
    def top_mm(self) -> float:
        """First knot."""
        return self.z_mm[0]

    @property
    def end_mm(self) -> float:
        """Last knot."""
        return self.z_mm[-1]

    def table(self) -> Table:
        """Tabulate for millions of look-ups."""
        steps = max(2, math.ceil((self.end_mm - self.top_mm) / TABLE_STEP_MM))
        z = np.linspace(self.top_mm, self.end_mm, steps + 1)
        return Table(self.top_mm, steps / (self.end_mm - self.top_mm), self(z).astype(np.float32))


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """A profile sampled so finely (1 um) that the nearest entry will do."""

    top_mm: float
    per_mm: float
    value: Array

    def at(self, z: Array) -> Array:
        """Look the profile up at `z`; beyond the ends, the end's value."""
        shift = np.float32(0.5 - self.top_mm * self.per_mm)
        return self.value.take((z * np.float32(self.per_mm) + shift).astype(np.int32), mode="clip")


@dataclass(frozen=True, slots=True, eq=False)
class Thread:
    """A helical thread (or rings) cut below an envelope.

    Attributes
    ----------
    pitch_mm : float
        Axial distance from crest to crest; the lead is `starts` times this.
    starts : int
        0 = rings, level all round.
    crest, root : float
        Flat fractions of the pitch at crest and root; the flanks are straight between.
    depth : Profile
        Radial depth below the envelope, mm, along `z`; 0 where there is no thread.
    rounded : bool
        A cosine instead of flats and straight flanks.
    crest_z_mm : float
        Where a crest crosses the direction ``phi = 0``.
    apical_share : float
        How much of both flanks' axial length the flank facing the apex has: 0.5 = V or square,
        less = buttress (that flank stands steeper), more = reverse buttress.
    """

    pitch_mm: float
    starts: int
    crest: float
    root: float
    depth: Profile
    rounded: bool = False
    crest_z_mm: float = 0.0
    apical_share: float = 0.5

    def drop(self) -> Callable[[Rays], Array | None]:
        """Build the function giving the radial drop below the envelope (None: nowhere here)."""
        table, shape = self.depth.table(), self._shape()
        per_pitch, per_turn = np.float32(1 / self.pitch_mm), np.float32(self.starts / math.tau)
        start = np.float32(self.crest_z_mm / self.pitch_mm)
        lowest, highest = _where_not_zero(self.depth)

        def drop_at(rays: Rays) -> Array | None:
            if rays.z.max() < lowest or rays.z.min() > highest:
                return None
            turns = rays.z * per_pitch - start - rays.phi * per_turn
            return np.asarray(shape(turns) * table.at(rays.z))

        return drop_at

    def _shape(self) -> Callable[[Array], Array]:
        """Build the function of the turns since a crest: 0 at crests, 1 at roots."""
        one, two, crest = np.float32(1), np.float32(2), np.float32(self.crest)
        slope = np.float32(1 / (1 - self.crest - self.root))
        if self.rounded:
            full = np.float32(math.tau)
            return lambda turns: (one - np.cos(turns * full)) * np.float32(0.5)
        if self.apical_share == 0.5:
            return lambda turns: np.clip(
                (np.abs(turns - np.rint(turns)) * two - crest) * slope, 0, 1
            )
        down = np.float32(1 / (1 - self.crest - self.root) / self.apical_share)
        up = np.float32(1 / (1 - self.crest - self.root) / (1 - self.apical_share))
        half = np.float32(self.crest / 2)

        def uneven(turns: Array) -> Array:
            past = turns - np.floor(turns)
            flanks = np.minimum((past - half) * down, (one - half - past) * up)
            return np.asarray(np.clip(flanks, 0, 1))

        return uneven


def _where_not_zero(profile: Profile) -> tuple[float, float]:
    z = np.array(profile.z_mm)
    used = np.flatnonzero(np.array(profile.value) > 0)
    if not len(used):
        return math.inf, -math.inf
    return float(z[max(used[0] - 1, 0)]), float(z[min(used[-1] + 1, len(z) - 1)])


def v_flats(
    pitch_mm: float, depth_mm: float, *, half_angle_deg: float = 30.0
) -> tuple[float, float]:
    """Crest and root flats of a V thread; the crest flat is P/8 (ISO 68-1) where it fits."""
    flanks = 2 * depth_mm * math.tan(math.radians(half_angle_deg)) / pitch_mm
    flats = max(1 - flanks, 0.08)
    crest = min(0.125, flats / 2)
    return crest, flats - crest


def revolved(outer: Profile, threads: tuple[Thread, ...] = ()) -> Field:
    """Body of revolution between the first and last knot of `outer`, with threads cut into it."""
    table, drops = outer.table(), [thread.drop() for thread in threads]

    def field(rays: Rays) -> Array:
        inside = table.at(rays.z) - rays.r
        for drop in drops:
            below = drop(rays)
            if below is not None:
                inside = inside - below
        return np.minimum(inside, _between(rays.z, outer.top_mm, outer.end_mm))

    return only_between(field, outer.top_mm, outer.end_mm)


def prism(sides: int, flats_mm: float, top_mm: float, end_mm: float, turn_deg: float) -> Field:
    """Regular prism along the axis, `flats_mm` across the flats (even number of sides)."""
    turns = np.radians(turn_deg + 360 / sides * np.arange(sides // 2))
    normals = [(np.float32(math.cos(turn)), np.float32(math.sin(turn))) for turn in turns]

    def field(rays: Rays) -> Array:
        across = np.abs(rays.x * normals[0][0] + rays.y * normals[0][1])
        for cos, sin in normals[1:]:
            across = np.maximum(across, np.abs(rays.x * cos + rays.y * sin))
        return np.minimum(np.float32(flats_mm / 2) - across, _between(rays.z, top_mm, end_mm))

    return only_between(field, top_mm, end_mm)


def rods(
    count: int, at_mm: float, radius_mm: float, top_mm: float, end_mm: float, turn_deg: float
) -> Field:
    """Round rods parallel to the axis on a circle of radius `at_mm`: lobes of a bore, or flutes."""
    turns = np.radians(turn_deg + 360 / count * np.arange(count))
    middles = [
        (np.float32(at_mm * math.cos(turn)), np.float32(at_mm * math.sin(turn))) for turn in turns
    ]

    def field(rays: Rays) -> Array:
        nearest = _square_off(rays, *middles[0])
        for middle in middles[1:]:
            nearest = np.minimum(nearest, _square_off(rays, *middle))
        within = np.float32(radius_mm) - np.sqrt(nearest)
        return np.asarray(np.minimum(within, _between(rays.z, top_mm, end_mm)))

    return only_between(field, top_mm, end_mm)


def _square_off(rays: Rays, x_mm: np.float32, y_mm: np.float32) -> Array:
    across, deep = rays.x - x_mm, rays.y - y_mm
    return across * across + deep * deep  # np.hypot is several times slower


def only_between(field: Field, top_mm: float, end_mm: float) -> Field:
    """Skip the work for a bundle of rays that passes wholly above or below the solid."""

    def guarded(rays: Rays) -> Array:
        if rays.z.max() < top_mm or rays.z.min() > end_mm:
            return np.float32(NOTHING_MM)  # type: ignore[return-value]
        return field(rays)

    return guarded


def _between(z: Array, top_mm: float, end_mm: float) -> Array:
    faces = np.minimum(z - np.float32(top_mm), np.float32(end_mm) - z)
    return np.asarray(faces * np.float32(FACE_STEEPNESS))


def union(*fields: Field) -> Field:
    """Everything inside any of the fields."""

    def field(rays: Rays) -> Array:
        inside = fields[0](rays)
        for other in fields[1:]:
            inside = np.maximum(inside, other(rays))
        return inside

    return field


def without(body: Field, *holes: Field) -> Field:
    """Everything inside `body` and outside every hole."""

    def field(rays: Rays) -> Array:
        inside = body(rays)
        for hole in holes:
            inside = np.minimum(inside, -hole(rays))
        return inside

    return field


def hollowed(body: Field, void: Field) -> Fields:
    """Give the body without the void, and the void itself."""

    def fields(rays: Rays) -> tuple[Array, ...]:
        empty = void(rays)
        return np.minimum(body(rays), -empty), empty

    return fields
