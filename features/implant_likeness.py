"""How much a proposed body looks like an implant rather than a post, a tooth, a ball or a crown."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from features.axis_search import ReducedFilm
from features.outline import Outline
from features.quantity import Quantity
from features.strip import Strip

Floats = NDArray[np.float64]

NEAR, FAR, INNER = (1.12, 1.45), (1.9, 2.6), (0.5, 0.9)  # half widths from the axis
HIGHEST = 0.97  # no proposal is surer: a film alone never settles it
NO_TIP = 0.4  # what remains where the apex does not end in an edge


@dataclass(frozen=True, slots=True)
class Looks:
    """What is asked of a body; all are ratios.

    Attributes
    ----------
    slender : float
        Length to width.
    rough : float
        How far the walls stray from straight lines, to half the width.
    walled : float
        Share of rows in which both walls stand out.
    contrast : float
        Of the body, to the film's range of grey.
    bone : float
        Grey beside the apical half above the film's darkest, to the film's range.
    halo : float
        Grey close to the walls less grey farther out, to the contrast: a root around a post.
    wide : float
        Width to the film's longest side.
    taper : float
        Width lost toward the apex, to the width.
    """

    slender: float
    rough: float
    walled: float
    contrast: float
    bone: float
    halo: float
    wide: float
    taper: float


class Gate(NamedTuple):
    """A soft limit: what lies `width` beyond it on the wrong side counts a quarter."""

    key: str
    sign: float
    limit: float
    width: float
    reason: str


# Limits lie between what bodies and what other things show on simulated films (body, then others):
# slender 1.7-7.6 against 0.5-1 of a ball; bone above 0.2 (0.11 on real films) against up to 0.12;
# halo within 0.17 against 0.24-1.1 of posts, fillings and pontics; contrast above 0.3 against
# 0.1-0.26 (a drawn tooth 0.3); width above 0.05 against 0.05-0.07 of bone screws; rough up to
# 0.20 against 0.25. Some bodies taper by 0.69, more than a root: that is a doubt, no refusal.
GATES = (
    Gate("slender", 1, 1.35, 0.12, "it is hardly longer than wide, like a ball or a crown"),
    Gate("slender", -1, 8.0, 0.5, "it is too slender for an implant"),
    Gate("rough", -1, 0.235, 0.02, "its walls are not straight"),
    Gate("walled", 1, 0.72, 0.04, "one of its walls does not stand out"),
    Gate("contrast", 1, 0.29, 0.02, "it is hardly brighter than what lies beside it"),
    Gate("bone", 1, 0.09, 0.015, "no bone is seen beside its far end"),
    Gate("halo", -1, 0.19, 0.02, "something denser than bone surrounds it, like a root a post"),
    Gate("halo", 1, -0.32, 0.05, "what lies beside it is brighter farther out"),
    Gate("wide", 1, 0.05, 0.006, "it is too narrow for an implant on this film"),
    Gate("taper", -1, 0.5, 0.1, "it narrows too fast toward its far end"),
    Gate("taper", 1, -0.16, 0.03, "it widens toward its far end"),
)


def look_at(strip: Strip, walls: Outline, film: ReducedFilm) -> Looks:
    """Take the looks of a body on a strip that runs from its platform to its apex."""
    width, length = walls.typical_width_px, strip.axis.length_px
    body = walls.between(0.1 * length, 0.9 * length)
    deep = walls.between(0.5 * length, 0.92 * length)
    near, far, inner = (_beside(strip, walls, part) for part in (NEAR, FAR, INNER))
    gap = (inner - near)[:, body]
    contrast = max(float(np.median(gap)), 1e-4)
    dark, white = film.range
    span = max(white - dark, 1e-3)
    sides = (walls.left_px, walls.right_px)
    return Looks(
        slender=length / width,
        rough=2 * max(_stray(walls.z_px[body], wall[body]) for wall in sides) / width,
        walled=float((gap.min(axis=0) > 0.4 * contrast).mean()),
        contrast=contrast / span,
        bone=(float(np.median(near[:, deep])) - dark) / span,
        halo=float(np.median((near - far).mean(axis=0)[deep])) / contrast,
        wide=width / film.longest_px,
        taper=(_width(walls, 0.2, 0.35) - _width(walls, 0.7, 0.85)) / width,
    )


def judge(looks: Looks, tip: Quantity) -> tuple[float, str]:
    """Probability of an implant, and what speaks most against it."""
    passed = [_pass(gate, looks) for gate in GATES]
    likely = math.prod(passed) * (1.0 if tip else NO_TIP)
    weakest = min(range(len(GATES)), key=lambda i: passed[i])
    return HIGHEST * likely, GATES[weakest].reason


def _pass(gate: Gate, looks: Looks) -> float:
    beyond = gate.sign * (getattr(looks, gate.key) - gate.limit) / gate.width
    return 1 / (1 + math.exp(-min(max(beyond, -50.0), 50.0)))


def _width(walls: Outline, low: float, high: float) -> float:
    length = float(walls.z_px[-1])
    return walls.width_between(low * length, high * length)


def _stray(z: Floats, wall: Floats) -> float:
    slope, start = np.polyfit(z, wall, 1)
    return float(np.percentile(np.abs(wall - start - slope * z), 80))


def _beside(strip: Strip, walls: Outline, part: tuple[float, float]) -> Floats:
    """Mean grey left and right, (2, Z), between two distances from the axis in half widths."""
    steps = (np.linspace(*part, 7) - 1) * walls.typical_width_px / 2
    sides = (-(walls.left_px[:, None] + steps), walls.right_px[:, None] + steps)
    return np.stack([strip.at(walls.z_px[:, None], t).mean(axis=1) for t in sides])
