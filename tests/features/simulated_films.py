"""Whole simulated films, read once and kept for all tests of a session.

Eight families, three films each: one clean and two clinical, by seeds fixed before any of them was
read. Making and reading one takes some two seconds, so all cores share the work.
"""

import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from features.marks import Marks, check_marks
from features.radiograph import Radiograph
from features.reading import ImplantReading, read_film
from sample_images.simulate import simulate
from tests.features.bodies_on_film import radiograph

# One of every kind of body and of channel; all families are read in tests/benchmarks.
FAMILIES = (
    *("bone_level_cone", "external_hex_parallel", "hollow_basket", "internal_hex_tapered"),
    *("plateau_locking_taper", "pressfit_cylinder_plain_bore", "tissue_level_cone", "tri_channel"),
)
SEEDS = (("clean", 101), ("clinical", 102), ("clinical", 103))


@dataclass(frozen=True)
class ReadFilm:
    name: str
    family: str
    truth: dict[str, Any]
    film: Radiograph
    marks: Marks
    implant: ImplantReading

    def measure(self, key):
        """(true value or None, what was read)."""
        return self.truth["measures"][key], self.implant.measures[key]

    def form(self, key):
        """(true state or None, state read)."""
        return self.truth["forms"][key], self.implant.forms[key].state

    def finding(self, key):
        """(there and detectable, there at all, state read)."""
        told = self.truth["findings"][key]
        return told["detectable"], told["there"], self.implant.findings[key].state


def make(family, level, seed, **wanted):
    simulated = simulate(family, seed, level, **wanted)
    film = radiograph((simulated.pixels / np.float32(65535)).astype(np.float32))
    marks = check_marks(simulated.marks, width=film.width, height=film.height)
    implant = read_film(film, marks).implants[0]
    return ReadFilm(simulated.stem, family, simulated.truth, film, marks, implant)


@cache
def films():
    """All of them."""
    wanted = [(family, *which) for family in FAMILIES for which in SEEDS]
    with ProcessPoolExecutor(max_workers=min(os.cpu_count() or 1, 8)) as workers:
        return tuple(workers.map(make, *zip(*wanted, strict=True)))


def relative_errors(key, which=None):
    """(value − truth) / truth wherever there is something to measure and it was measured."""
    pairs = [film.measure(key) for film in which or films()]
    return np.array([m.value / truth - 1 for truth, m in pairs if truth is not None and m])


def covered(key, which=None):
    """How many 95 % intervals hold the truth, of how many."""
    pairs = [film.measure(key) for film in which or films()]
    held = [
        m.interval[0] <= truth <= m.interval[1] for truth, m in pairs if truth is not None and m
    ]
    return sum(held), len(held)
