"""The implant on its film with numbered lines where each number was taken, as one SVG."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from features.marks import Point
from features.radiograph import Radiograph
from features.reading import ImplantReading, Trace
from identify.words import bare, measure_order

MARGIN = 0.22  # of the implant's longer side, kept around it
MANY_POINTS = 12  # an outline, drawn finer than a measured width
ROUND_MM = (0.5, 1.0, 2.0, 5.0, 10.0)
LINE = "#ffd34d"  # light on the film; in grey print it stays light against its dark halo


@dataclass(frozen=True, slots=True)
class Box:
    """A part of the film in px: corner, width and height (whole pixels)."""

    x: int
    y: int
    width: int
    height: int


def display_grey(pixels: NDArray[np.float32]) -> NDArray[np.uint8]:
    """8-bit grey for showing: the darkest and brightest half per cent are cut."""
    low, high = np.percentile(pixels, (0.5, 99.5))
    span = max(float(high - low), 1e-6)
    return np.asarray(np.clip((pixels - low) / span, 0, 1) * 255, dtype=np.uint8)


def encode(grey: NDArray[np.uint8], kind: str = "PNG") -> bytes:
    """Write an 8-bit picture as a file in memory."""
    store = io.BytesIO()
    Image.fromarray(grey).save(store, kind, quality=90)
    return store.getvalue()


def trace_numbers(implant: ImplantReading) -> dict[str, int]:
    """Give a number to whatever was traced, by key without unit: for picture and tables alike."""
    told = {bare(key) for key in (*implant.measures, *implant.forms, *implant.findings)}
    traced = {bare(trace.measure) for trace in implant.traces if trace.points_px} & told
    return {key: number for number, key in enumerate(sorted(traced, key=measure_order), 1)}


def draw_overlay(
    film: Radiograph,
    implant: ImplantReading,
    hull: Sequence[Point],
    mm_per_px: float | None = None,
) -> str:
    """Draw the film around one implant with its traces.

    Parameters
    ----------
    film : Radiograph
    implant : ImplantReading
    hull : sequence of (x, y)
        Points that must be in the picture, such as the marks, in film px.
    mm_per_px : float, optional
        For a scale bar; none is drawn where the scale is not known.

    Returns
    -------
    str
        An SVG with the film inside it as a data URI; units are film px.
    """
    box = _box(film, implant, hull)
    grey = display_grey(film.pixels)[box.y : box.y + box.height, box.x : box.x + box.width]
    picture = base64.b64encode(encode(grey, "JPEG")).decode()
    unit = max(box.width, box.height) / 100
    numbers = trace_numbers(implant)
    lines = "".join(_trace(trace, unit) for trace in implant.traces)
    tags = _tags(implant, numbers, box, unit)
    bar = _bar(box, unit, mm_per_px) if mm_per_px else ""
    # an integer is a pixel's centre, so the picture begins half a pixel earlier
    view = f"{box.x - 0.5} {box.y - 0.5} {box.width} {box.height}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" role="img" '
        f'width="{box.width}" height="{box.height}" '
        f'aria-label="Where the numbers of implant {escape(implant.label, quote=True)} were taken">'
        f'<image x="{box.x - 0.5}" y="{box.y - 0.5}" width="{box.width}" height="{box.height}" '
        f'href="data:image/jpeg;base64,{picture}"/>{lines}{tags}{bar}</svg>'
    )


def bar_mm(
    film: Radiograph, implant: ImplantReading, hull: Sequence[Point], mm_per_px: float
) -> float:
    """Return how long the scale bar in `draw_overlay`'s picture is."""
    return _bar_mm(_box(film, implant, hull), mm_per_px)


def _box(film: Radiograph, implant: ImplantReading, hull: Sequence[Point]) -> Box:
    return box_around([*hull, *(p for t in implant.traces for p in t.points_px)], film)


def _bar_mm(box: Box, mm_per_px: float) -> float:
    # the longest round length that takes no more than a third of the picture
    room = box.width * mm_per_px / 3
    return max((mm for mm in ROUND_MM if mm <= room), default=ROUND_MM[0])


def _bar(box: Box, unit: float, mm_per_px: float) -> str:
    length = _bar_mm(box, mm_per_px)
    x1, y = box.x + 3 * unit, box.y + box.height - 3 * unit
    x2 = x1 + length / mm_per_px
    ends = "".join(
        f'<path d="M{x1:.2f} {y - unit:.2f}V{y + unit:.2f}M{x1:.2f} {y:.2f}H{x2:.2f}'
        f'M{x2:.2f} {y - unit:.2f}V{y + unit:.2f}" stroke="{colour}" '
        f'stroke-width="{width * unit:.2f}" fill="none"/>'
        for colour, width in (("#000", 1.3), ("#fff", 0.6))
    )
    return (
        f'{ends}<text x="{(x1 + x2) / 2:.2f}" y="{y - 1.6 * unit:.2f}" text-anchor="middle" '
        f'fill="#fff" stroke="#000" stroke-width="{0.5 * unit:.2f}" paint-order="stroke" '
        f'font-family="sans-serif" font-size="{2.7 * unit:.2f}">{length:g} mm</text>'
    )


def box_around(points: Sequence[Point], film: Radiograph) -> Box:
    """Return the part of the film around these points, with a margin, inside the film."""
    spots = np.asarray(points, dtype=float)
    low, high = spots.min(axis=0), spots.max(axis=0)
    margin = MARGIN * float((high - low).max())
    wide = np.array([1.6, 1.0]) * margin  # the tags stand left and right
    x0, y0 = np.floor(np.clip(low - wide, 0, None)).astype(int)
    limit = np.array([film.width, film.height])
    x1, y1 = np.ceil(np.minimum(high + wide + 1, limit)).astype(int)
    return Box(int(x0), int(y0), max(int(x1 - x0), 1), max(int(y1 - y0), 1))


def _trace(trace: Trace, unit: float) -> str:
    if not trace.points_px:
        return ""
    if trace.kind == "spots":
        return "".join(_spot(x, y, unit) for x, y in trace.points_px)
    joined = " ".join(f"{x:.2f},{y:.2f}" for x, y in trace.points_px)
    tag = "polygon" if trace.kind == "ring" else "polyline"
    thin = 0.6 if len(trace.points_px) > MANY_POINTS else 1.0
    return "".join(
        f'<{tag} points="{joined}" fill="none" stroke="{colour}" '
        f'stroke-width="{thin * width * unit:.2f}" stroke-linejoin="round" stroke-linecap="round"/>'
        for colour, width in (("#000", 0.75), (LINE, 0.36))
    )


def _spot(x: float, y: float, unit: float) -> str:
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{0.6 * unit:.2f}" fill="{LINE}" '
        f'stroke="#000" stroke-width="{0.25 * unit:.2f}"/>'
    )


def _tags(implant: ImplantReading, numbers: dict[str, int], box: Box, unit: float) -> str:
    anchors = {bare(trace.measure): _anchor(trace) for trace in implant.traces if trace.points_px}
    ordered = sorted(numbers, key=lambda measure: anchors[measure][1])
    sides = ordered[::2], ordered[1::2]
    out = ""
    for side, measures in enumerate(sides):
        x = box.x + (3.2 * unit if side == 0 else box.width - 3.2 * unit)
        heights = _spread([anchors[m][1] for m in measures], 5.4 * unit, box, unit)
        for measure, y in zip(measures, heights, strict=True):
            out += _tag(numbers[measure], (x, y), anchors[measure], unit)
    return out


def _anchor(trace: Trace) -> Point:
    # the middle of a line, the first of several spots
    points = trace.points_px
    if trace.kind == "line" and len(points) == 2:
        (x1, y1), (x2, y2) = points
        return (x1 + x2) / 2, (y1 + y2) / 2
    return points[0]


def _spread(heights: list[float], gap: float, box: Box, unit: float) -> list[float]:
    """Move tags apart so that none covers another, and keep them in the picture."""
    low, high = box.y + 3 * unit, box.y + box.height - 3 * unit
    placed: list[float] = []
    for height in heights:
        placed.append(max(height, low, placed[-1] + gap if placed else low))
    overshoot = max(0.0, placed[-1] - high) if placed else 0.0
    return [height - overshoot for height in placed]


def _tag(number: int, at: Point, anchor: Point, unit: float) -> str:
    x, y = at
    return (
        f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{anchor[0]:.1f}" y2="{anchor[1]:.1f}" '
        f'stroke="#fff" stroke-opacity="0.55" stroke-width="{0.2 * unit:.2f}"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{2.3 * unit:.2f}" fill="#111" stroke="#fff" '
        f'stroke-width="{0.25 * unit:.2f}"/>'
        f'<text x="{x:.1f}" y="{y + 0.95 * unit:.1f}" text-anchor="middle" fill="#fff" '
        f'font-family="sans-serif" font-weight="600" font-size="{2.7 * unit:.2f}">{number}</text>'
    )
