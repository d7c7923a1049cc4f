"""Read one marked implant in film pixels: every measure, form, finding and trace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features import (
    apex,
    bore,
    collar,
    crest,
    gaps,
    helix,
    sides,
    top,
    widths,
)
from features.axes import axis_direction
from features.body import Body, find_body, thread_depths
from features.finding import Finding, Form, Vent
from features.findings import all_findings, find_holes
from features.marks import ImplantMark
from features.quality import quality_notes
from features.quantity import NotMeasured, Quantity, from_parts, parts_of
from features.threads import Thread
from features.traces import Trace, outline_traces, vent_trace

SHORTEST_PX, NARROWEST_PX = 24, 8  # below this there are too few pixels to find a wall in
MEASURES = (
    *("length", "platform_width", "coronal_width", "apical_width", "core_width", "taper_deg"),
    *("thread_pitch", "thread_depth", "bore_width", "bore_depth", "bore_mouth", "bore_cone_deg"),
    *("collar_height", "crest_mesial", "crest_distal", "tilt_deg"),
)
FORMS = ("collar_form", "apex_form", "top_form", "thread_starts")
FINDINGS = (
    *("threads", "rings", "vents", "bore", "micro_threads", "steps", "perforations", "flutes"),
)
EVEN_TEXTURE, ASTRAY = 0.2, 0.4  # of the contrast; of the width (simulated ceramic bodies)
UNREAD = NotMeasured("the implant was not read")
HAND_HELD = 0.008  # cos of the usual 5-8 degrees off square, as a standard uncertainty: derived


@dataclass(frozen=True, slots=True)
class ImplantReading:
    """All that was read of one implant. Keys are those of the measurand table (FORMAT.md).

    From `read_implant` lengths are in px under bare names (``length``); `read_film` gives them
    their units.
    """

    label: str
    tooth: str | None
    measures: Mapping[str, Quantity]
    forms: Mapping[str, Form]
    findings: Mapping[str, Finding]
    vents: tuple[Vent, ...] = ()
    traces: tuple[Trace, ...] = ()
    notes: tuple[str, ...] = ()
    axis_deg: Quantity = UNREAD


def read_implant(
    pixels: NDArray[np.float32], mark: ImplantMark, *, holder: bool = False
) -> ImplantReading:
    """Measure one implant; lengths in px.

    Parameters
    ----------
    pixels : (H, W) array, 0 to 1, bright = radiopaque
    mark : ImplantMark
    holder : bool
        The receptor was held parallel to the implant, so tilt does not shorten it.
    """
    if mark.length_px < SHORTEST_PX or mark.width_px < NARROWEST_PX:
        return _unread(mark)
    body, notes = find_body(pixels, mark)
    above = top.look_above(body.strip, body.outline, platform_px=body.platform.value)
    fine_finding, fine = collar.micro_threads(body.strip, body.outline, body.thread)
    channel = bore.measure_bore(
        body.strip,
        body.gap_map,
        width_px=body.width_px,
        platform=body.platform,
        tip_px=body.tip_px,
        covered=above.covered,
    )
    band, holes = find_holes(body, channel)
    hand_held = 0.0 if holder else _hand_held(body.helix.tilt_deg)
    measures = _lengths(body, hand_held) | _thread_measures(body, fine, hand_held)
    measures |= _bore_measures(channel)
    measures |= _crests(body) | {
        "tilt_deg": body.helix.tilt_deg,
        "taper_deg": widths.taper(
            measures["coronal_width"],
            measures["apical_width"],
            apart_px=0.5 * body.length_px,
            faint=body.gap_map.faint,
        ),
    }
    return ImplantReading(
        mark.label,
        mark.tooth,
        measures,
        _forms(body, above, measures),
        all_findings(body, channel, holes, fine=fine_finding, band=band),
        tuple(vent for vent, _ in holes),
        _traces(body, channel, holes),
        (*quality_notes(body), *notes),
        axis_direction(body),
    )


def _unread(mark: ImplantMark) -> ImplantReading:
    """Every measure with the reason why it is not there."""
    reason = (
        f"the implant is only {mark.width_px:.0f} × {mark.length_px:.0f} px as marked; "
        "use the film in its full size"
    )
    return ImplantReading(
        mark.label,
        mark.tooth,
        dict.fromkeys(MEASURES, NotMeasured(reason)),
        dict.fromkeys(FORMS, Form("not assessable", 1.0, reason)),
        dict.fromkeys(FINDINGS, Finding("not assessable", 1.0, reason)),
        notes=(reason,),
    )


def _hand_held(tilt: Quantity) -> float:
    """How much a hand-held film may shorten or lengthen the body, as a part of its length.

    With the beam τ off square and the film at any angle up to square to the beam, the length lies
    between L·cos(τ) and L; unknown tilt counts as the usual 5-8 degrees.
    """
    if not tilt:
        return HAND_HELD
    return 0.002 + 0.7 * (1 - float(np.cos(np.radians(abs(tilt.value) + tilt.std))))


def _traces(
    body: Body, channel: bore.Bore, holes: tuple[tuple[Vent, float], ...]
) -> tuple[Trace, ...]:
    boxes = [
        vent_trace(body.strip, vent, t, tip_px=body.tip_px, body_px=body.width_px)
        for vent, t in holes
    ]
    lines = outline_traces(
        body.walls, body.thread, channel, platform_px=body.platform.value, tip_px=body.tip_px
    )
    return lines + tuple(box for box in boxes if box)


def _lengths(body: Body, hand_held: float) -> dict[str, Quantity]:
    reach = max(0.04 * body.length_px, 3.0)
    found = {
        "platform_width": collar.platform_width(
            body.walls, body.mark, platform_px=body.platform.value, length_px=body.length_px
        ),
        "coronal_width": widths.envelope_at(body.walls, body.height(0.25), reach),
        "apical_width": widths.envelope_at(body.walls, body.height(0.75), reach),
        "core_width": widths.core_at(body.walls, body.height(0.5), reach),
    }
    return {key: _less_sure(width, body.gap_map.texture) for key, width in found.items()} | {
        "length": _length(body, hand_held)
    }


def _less_sure(width: Quantity, texture: float) -> Quantity:
    """Where the bone beside swings by a good part of the metal's contrast, walls follow it."""
    if not width or texture < EVEN_TEXTURE:
        return width
    astray = ASTRAY * (texture - EVEN_TEXTURE) * width.value
    return from_parts(width.value, width.unit, **parts_of(width), bone=astray)


def _length(body: Body, hand_held: float) -> Quantity:
    if isinstance(body.tip, NotMeasured) and "outside" in body.tip.reason:
        return body.tip
    end = body.tip or from_parts(body.tip_px, "px", marks=1.5 * body.mark.std_px)
    # A hand-held film may shorten or lengthen by a percent or two; ends of a tilted body
    # are ellipses, half a width times the sine of a few degrees: derived.
    tilted = hand_held * body.length_px
    ends = 0.02 * body.width_px
    parts = parts_of(body.platform, end) | {"tilt": float(np.hypot(tilted, ends))}
    return from_parts(body.length_px, "px", **parts)


def _thread_measures(body: Body, fine: Thread | None, hand_held: float) -> dict[str, Quantity]:
    thread = body.thread
    height = collar.collar_height(thread, fine, platform=body.platform, length_px=body.length_px)
    return {
        "thread_pitch": _pitch(thread, hand_held),
        "thread_depth": _thread_depth(body),
        "collar_height": height,
    }


def _pitch(thread: Thread, hand_held: float) -> Quantity:
    """The pitch shortens like the length where the film was held by hand."""
    pitch = thread.pitch_px
    if not pitch:
        return pitch
    return from_parts(pitch.value, "px", **parts_of(pitch), tilt=hand_held * pitch.value)


def _thread_depth(body: Body) -> Quantity:
    if not body.thread.pitch_px:
        return body.thread.pitch_px
    depths = thread_depths(body.walls)
    if not depths:
        return NotMeasured("the thread's profile could not be fitted on either wall")
    value = float(np.mean([depth for depth, _ in depths]))
    spread = float(np.ptp([depth for depth, _ in depths])) / 2
    edge = float(np.mean([std for _, std in depths]))
    return from_parts(value, "px", edge=edge, uneven_wall=spread, blur=0.06 * value)


def _bore_measures(channel: bore.Bore) -> dict[str, Quantity]:
    return {
        "bore_width": channel.width_px,
        "bore_depth": channel.depth_px,
        "bore_mouth": channel.mouth_px,
        "bore_cone_deg": channel.cone_deg,
    }


def _crests(body: Body) -> dict[str, Quantity]:
    mesial = sides.mesial_side(body.mark.tooth, body.strip.axis)
    if isinstance(mesial, NotMeasured):
        return {"crest_mesial": mesial, "crest_distal": mesial}
    heights = {
        name: crest.crest_height(
            body.strip, body.outline, side=side, platform_px=body.platform.value
        )
        for name, side in (("crest_mesial", mesial), ("crest_distal", -mesial))
    }
    return dict(heights)


def _forms(body: Body, above: top.Top, measures: Mapping[str, Quantity]) -> dict[str, Form]:
    return {
        "collar_form": collar.collar_form(
            measures["platform_width"],
            collar.neck(measures["coronal_width"], measures["apical_width"]),
        ),
        "apex_form": apex.apex_form(
            body.outline,
            body.strip,
            tip_px=body.tip_px,
            opened=body.opened,
            background=gaps.beside_grey(body.strip, body.outline),
        ),
        "top_form": above.form,
        "thread_starts": helix.starts_form(body.thread, body.helix),
    }
