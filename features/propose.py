"""One click on an implant proposes its marks; no click proposes every implant that is seen.

A proposal is a start for the hand that checks it, never a reading: whatever was guessed says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.apex import find_tip
from features.axis_search import Band, ReducedFilm, find_bands, reduced
from features.collar import JOINT_FACTOR
from features.implant import NARROWEST_PX, SHORTEST_PX  # what cannot be read is not proposed
from features.implant_likeness import judge, look_at
from features.marks import CLICK_STD_PX, ImplantMark, Point
from features.outline import Outline, about, find_walls
from features.platform_search import Place, find_platform
from features.quantity import NotMeasured
from features.run_search import Run, centred, find_run, settle
from features.strip import Axis, Strip, axis_through, straighten

Floats = NDArray[np.float64]
Pixels = NDArray[np.float32]

CLEAR = 0.8  # a candidate this likely is not held against the next
SEEN = 0.5  # without a click, only what is more likely an implant than not is proposed
DOUBTFUL = 0.1  # below this there is nothing to propose
SEEDS, TRIED = 60, 12  # most places looked at without a click, and bands followed of those
SEED_STEP_PX = 15.0  # between places, on the reduced film: about as wide as a narrow body
GROUND_PX = 28.0  # blur that leaves no body on the reduced film
SEED_STEP_DEG = 10.0  # following a band turns it right
LARGEST_STD_PX = 50.0  # of a mark
LABELS = "ABCDEFGHIJ"


@dataclass(frozen=True, slots=True)
class Proposal:
    """Marks for one implant.

    Attributes
    ----------
    mark : ImplantMark
    probability : float
        That this is an implant.
    notes : tuple of str
        What a person should check, one sentence each.
    """

    mark: ImplantMark
    probability: float
    notes: tuple[str, ...] = ()

    def __bool__(self) -> Literal[True]:
        return True


def propose_at(pixels: Pixels, point: Point) -> Proposal | NotMeasured:
    """Propose the marks of the implant at a click anywhere on its body.

    Parameters
    ----------
    pixels : (H, W) array, 0 to 1, bright = radiopaque
    point : (x, y)
        In film px.

    Returns
    -------
    Proposal, or NotMeasured with what speaks against an implant here.
    """
    height, width = pixels.shape
    if not (-0.5 <= point[0] <= width - 0.5 and -0.5 <= point[1] <= height - 0.5):
        return NotMeasured("the click lies outside the film")
    film = reduced(pixels)
    best: Proposal | NotMeasured = NotMeasured("no two straight walls are seen beside this place")
    for band in find_bands(film, point):
        found = _follow(pixels, film, band)
        if not best or (found and found.probability > best.probability):
            best = found
        if best and best.probability > CLEAR:
            break
    if best and best.probability < DOUBTFUL:
        return NotMeasured(f"this does not look like an implant: {best.notes[0]}")
    return best


def propose_all(pixels: Pixels) -> tuple[Proposal, ...]:
    """Propose every implant that is seen, the likeliest first; labels run from left to right."""
    film = reduced(pixels)
    found: list[Proposal] = []
    for band in _unlike_bands(film):
        if any(_holds(proposal, band) for proposal in found):
            continue
        proposal = _follow(pixels, film, band)
        if proposal and proposal.probability >= SEEN:
            found = _merged([*found, proposal])
    return _labelled(found)


def _follow(pixels: Pixels, film: ReducedFilm, band: Band) -> Proposal | NotMeasured:
    """From a band to marks."""
    too_small = NotMeasured("what is seen here is too small to be read")
    if band.half_px < NARROWEST_PX / 2:
        return too_small
    run = find_run(pixels, film, settle(pixels, band))
    if not run:
        return run
    if run.axis.length_px < SHORTEST_PX or run.half_px < NARROWEST_PX / 2:
        return too_small
    place = _platform(pixels, run)
    if run.axis.length_px - place.z_px < run.half_px:
        return NotMeasured("what is seen here is too short for an implant")
    strip, walls = _body(pixels, run, place)
    tip = find_tip(strip, walls)
    probability, doubt = judge(look_at(strip, walls, film), tip)
    mark = _mark(strip, walls, place, tip.value if tip else strip.axis.length_px)
    if mark is None or not _on_film(mark, pixels):
        return NotMeasured("an end of what is seen here lies outside the film")
    notes = (doubt,) if probability < CLEAR else ()
    return Proposal(mark, probability, notes + ((place.note,) if place.note else ()))


def _platform(pixels: Pixels, run: Run) -> Place:
    strip = straighten(
        pixels,
        run.axis,
        above_px=1.5 * run.half_px,
        below_px=run.half_px,
        half_px=2.3 * run.half_px + 16,
        step_px=max(1.0, run.half_px / 40),
    )
    return find_platform(strip, find_walls(strip, run.half_px))


def _body(pixels: Pixels, run: Run, place: Place) -> tuple[Strip, Outline]:
    """Straighten along the body alone: platform to apex, midway between its own walls."""
    axis, half = run.axis.moved(z_px=place.z_px), run.half_px
    coarse = _strip_along(pixels, axis, half, step_px=max(1.0, half / 20))
    walls = find_walls(coarse, half)
    axis, half = centred(axis, walls), walls.typical_width_px / 2
    strip = _strip_along(pixels, axis, half, step_px=1.0)
    return strip, find_walls(strip, half, near=about(axis, coarse, walls))


def _strip_along(pixels: Pixels, axis: Axis, half: float, *, step_px: float) -> Strip:
    return straighten(
        pixels,
        axis,
        above_px=0.35 * half,
        below_px=max(0.12 * axis.length_px, 0.8 * half, 14),
        half_px=max(2.8 * half, half + 16),
        step_px=step_px,
    )


def _mark(strip: Strip, walls: Outline, place: Place, tip_px: float) -> ImplantMark | None:
    neck = walls.between(0.0, 0.12 * strip.axis.length_px)
    left, right = float(np.median(walls.left_px[neck])), float(np.median(walls.right_px[neck]))
    if left + right < NARROWEST_PX or tip_px < 0.6 * (left + right):
        return None
    std = place.std * walls.typical_width_px / 2 / JOINT_FACTOR[place.joint]
    return ImplantMark(
        label=LABELS[0],
        joint=place.joint,
        platform_px=(
            _rounded(strip.axis.to_film(0, -left)),
            _rounded(strip.axis.to_film(0, right)),
        ),
        apex_px=_rounded(strip.axis.to_film(tip_px, 0)),
        std_px=round(min(max(CLICK_STD_PX, std), LARGEST_STD_PX), 1),
    )


def _rounded(point: Point) -> Point:
    return round(point[0], 2), round(point[1], 2)


def _on_film(mark: ImplantMark, pixels: Pixels) -> bool:
    height, width = pixels.shape
    points = (*mark.platform_px, mark.apex_px)
    return all(0 <= x <= width - 1 and 0 <= y <= height - 1 for x, y in points)


def _unlike_bands(film: ReducedFilm) -> list[Band]:
    """Bands through the brightest places of the film, the clearest first, no two alike."""
    bands: list[Band] = []
    for seed in _seeds(film):
        bands += find_bands(film, seed, most=2, step_deg=SEED_STEP_DEG)
    unlike: list[Band] = []
    for band in sorted(bands, key=lambda band: -band.agreement):
        if not any(_alike(band, other) for other in unlike):
            unlike.append(band)
    return unlike[:TRIED]


def _alike(one: Band, other: Band) -> bool:
    turned = math.degrees(one.axis.angle_rad - other.axis.angle_rad)
    middle = one.axis.to_film(one.axis.length_px / 2, 0)
    z, t = _on_axis(other.axis, middle)
    near = abs(t) < 0.6 * other.half_px and -0.3 < z / other.axis.length_px < 1.3
    return near and abs((turned + 90) % 180 - 90) < 20.0


def _on_axis(axis: Axis, point: Point) -> tuple[float, float]:
    """Height and distance of a film point on an axis, px."""
    x, y = point[0] - axis.origin_px[0], point[1] - axis.origin_px[1]
    (ax, ay), (bx, by) = axis.along, axis.across
    return x * ax + y * ay, x * bx + y * by


def _seeds(film: ReducedFilm) -> Iterator[Point]:
    """Places that are brighter than what surrounds them, spread over the film, in film px."""
    ground = ndimage.gaussian_filter(film.grey, GROUND_PX)
    stands_out = ndimage.gaussian_filter(film.grey, 2.0) - ground
    least = max(0.1 * (film.range[1] - film.range[0]), 0.02)
    y, x = np.mgrid[: film.grey.shape[0], : film.grey.shape[1]]
    for _ in range(SEEDS):
        row, column = np.unravel_index(int(stands_out.argmax()), stands_out.shape)
        if stands_out[row, column] < least:
            return
        yield film.on_film((float(column), float(row)))
        stands_out[np.hypot(x - column, y - row) < SEED_STEP_PX] = -np.inf


def _holds(proposal: Proposal, band: Band) -> bool:
    """Whether a band lies within what is already proposed, its crown included."""
    mark = proposal.mark
    axis = axis_through(mark.platform_middle_px, mark.apex_px)
    z, t = _on_axis(axis, band.axis.to_film(band.axis.length_px / 2, 0))
    return abs(t) < 0.6 * mark.width_px and -mark.length_px < z < 1.1 * mark.length_px


def _merged(found: list[Proposal]) -> list[Proposal]:
    """Keep the likelier of two proposals for one body."""
    kept: list[Proposal] = []
    for proposal in sorted(found, key=lambda p: -p.probability):
        if not any(_same_body(proposal.mark, other.mark) for other in kept):
            kept.append(proposal)
    return kept


def _same_body(one: ImplantMark, other: ImplantMark) -> bool:
    middle = [(a + b) / 2 for a, b in zip(one.platform_middle_px, one.apex_px, strict=True)]
    axis = axis_through(other.platform_middle_px, other.apex_px)
    z, t = _on_axis(axis, (middle[0], middle[1]))
    return abs(t) < 0.7 * other.width_px and -0.2 < z / other.length_px < 1.2


def _labelled(found: list[Proposal]) -> tuple[Proposal, ...]:
    from_left = sorted(found, key=lambda p: p.mark.apex_px[0])[: len(LABELS)]
    names = {id(p): label for p, label in zip(from_left, LABELS, strict=False)}
    return tuple(
        replace(p, mark=p.mark.model_copy(update={"label": names[id(p)]}))
        for p in found
        if id(p) in names
    )
