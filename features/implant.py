"""Read one marked implant in film pixels: every measure, form, finding and trace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features import (
    apex,
    bore,
    clear_wall,
    collar,
    crest,
    cut_wall,
    helix,
    sides,
    span,
    top,
    widths,
)
from features.axes import axis_direction
from features.body import Body, find_body
from features.connection_depth import connection_depth
from features.core_width import core_width
from features.finding import Finding, Form, Vent
from features.findings import all_findings, find_hole
from features.fine_thread import micro_threads
from features.marks import ImplantMark
from features.opening_wall import opening_wall
from features.quality import quality_notes
from features.quantity import NotMeasured, Quantity
from features.screw_gap import Gap, Inside, below_screw, find_faint_gap, find_gap
from features.slant import as_it_is
from features.thread_depth import thread_depth
from features.threads import Thread
from features.traces import Trace, all_traces
from features.vents import find_vent

SHORTEST_PX, NARROWEST_PX = 24, 8  # below this there are too few pixels to find a wall in
MEASURES = (
    *("length", "platform_width", "coronal_width", "apical_width", "core_width", "taper_deg"),
    *("thread_pitch", "thread_depth", "bore_width", "bore_depth", "bore_mouth", "bore_cone_deg"),
    *("collar_height", "crest_mesial", "crest_distal", "tilt_deg"),
)
FORMS = (
    *("collar_form", "apex_form", "top_form", "thread_starts", "connection_depth"),
    "opening_wall",
)
FINDINGS = (
    *("threads", "rings", "vents", "bore", "micro_threads", "steps", "perforations", "flutes"),
    *("inset", "solid", "dense"),
)
HEIGHTS = {"platform_width": 0.0, "coronal_width": 0.25, "core_width": 0.5, "apical_width": 0.75}
BONE = 0.08  # of the length: so far above and below a height its walls are held to the bone beside
# std of a width, and of a pitch, as a part of it, beyond which it tells too little (judgements)
UNSURE = {"coronal_width": 0.04, "apical_width": 0.031, "core_width": 0.055}
UNSURE_PITCH = 0.0145
RIM_CLICK_PX = 3.0  # a marked rim may lie so much farther out
UNREAD = NotMeasured("the implant was not read")


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
    body, notes = find_body(pixels, mark, holder=holder)
    above = top.look_above(
        body.strip,
        body.outline,
        platform_px=body.platform.value,
        beside=body.gap_map.beside,
        contrast=body.gap_map.contrast,
    )
    rim = collar.platform_width(
        body.walls, body.mark, platform=body.platform, length_px=body.length_px
    )
    inside = Inside.of(body, rim.value if rim else mark.width_px)
    gap = find_gap(body, inside)
    above = top.with_screw(above, screw=gap is not None and gap.of_a_screw)
    fine_finding, fine = micro_threads(body.strip, body.outline, body.thread)
    covers = gap if above.form.state == "covered" else None
    channel = bore.measure_bore(
        body.strip,
        below_screw(body.gap_map, body.strip, covers),
        width_px=body.width_px,
        platform=body.platform,
        tip_px=body.tip_px,
        covered=above.covered,
    )
    above = top.with_mouth(above, channel.mouth_px)
    if above.form.state == "covered":
        covers = covers or find_faint_gap(body, inside, channel)
    hole = find_hole(body, channel)
    findings = all_findings(
        body, channel, hole, fine=fine_finding, above=above, gapped=covers is not None
    )
    holes: tuple[tuple[Vent, float], ...] = ()
    if findings["vents"].state == "present":
        holes = find_vent(body.gap_map, hole, tip_px=body.tip_px, width_px=body.width_px)
    measures = _lengths(body, rim)
    measures |= _thread_measures(body, fine, measures)
    measures |= _bore_measures(channel)
    measures |= _crests(body) | {"tilt_deg": body.helix.tilt_deg}
    return ImplantReading(
        mark.label,
        mark.tooth,
        measures,
        _forms(body, above, covers, channel, measures),
        findings,
        tuple(vent for vent, _ in holes),
        all_traces(body, channel, covers, holes, opened=above.form.state in top.BARE),
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


def _lengths(body: Body, rim: Quantity) -> dict[str, Quantity]:
    reach = max(0.04 * body.length_px, 3.0)
    apical_px = body.height(HEIGHTS["apical_width"])
    found = {
        "platform_width": rim,
        "coronal_width": widths.envelope_at(
            body.walls, body.height(HEIGHTS["coronal_width"]), reach
        ),
        "apical_width": cut_wall.uncut(
            widths.envelope_at(body.walls, apical_px, reach),
            body.outline,
            (apical_px - reach, apical_px + reach),
            tip_px=body.tip_px,
        ),
        "core_width": core_width(body, reach),
    }
    told = {key: _less_sure(body, width, HEIGHTS[key]) for key, width in found.items()}
    # two widths too unsure to be told may still tell a cone from a rod
    taper = widths.taper(
        told["coronal_width"],
        told["apical_width"],
        apart_px=0.5 * body.length_px,
        faint=body.gap_map.faint,
    )
    if told["coronal_width"] and told["apical_width"] and not taper:  # walls that are no implant's
        told |= dict.fromkeys(UNSURE, taper)
    told |= {key: _sure_enough(told[key], most) for key, most in UNSURE.items()}
    return told | {"length": span.length(body), "taper_deg": taper}


def _less_sure(body: Body, width: Quantity, share: float) -> Quantity:
    """A width at a share of the length: walls may follow bone that swings as the metal does."""
    texture, height, reach = body.gap_map.texture, body.height(share), BONE * body.length_px
    if not width or texture < clear_wall.EVEN_TEXTURE:
        return width
    clear = clear_wall.clearness(body.strip, body.outline, (height - reach, height + reach))
    return clear_wall.less_sure_in_bone(width, texture, clear)


def _sure_enough(width: Quantity, most: float) -> Quantity:
    """A width, unless its wall was too uneven, or too faint, to tell."""
    if not width or width.std <= most * width.value:
        return width
    share = round(200 * width.std / width.value)
    return NotMeasured(f"the wall there is too uneven to tell the width better than ±{share} %")


def _thread_measures(
    body: Body, fine: Thread | None, lengths: Mapping[str, Quantity]
) -> dict[str, Quantity]:
    thread, core, taper = body.thread, lengths["core_width"], lengths["taper_deg"]
    if not core and core == taper:  # the turns are on walls that are no implant's
        return dict.fromkeys(("thread_pitch", "thread_depth", "collar_height"), core)
    height = collar.collar_height(thread, fine, platform=body.platform, length_px=body.length_px)
    return {
        "thread_pitch": _pitch(body),
        "thread_depth": _thread_depth(body, core),
        "collar_height": height,
    }


def _pitch(body: Body) -> Quantity:
    """The pitch shortens like the length where the film was held by hand."""
    thread = body.thread
    if not thread.pitch_px:
        return thread.pitch_px
    ends = (thread.from_px + thread.to_px - 2 * body.platform.value) / body.width_px
    pitch = as_it_is(thread.pitch_px, body.slant, widths_long=ends)
    if pitch.std > UNSURE_PITCH * pitch.value:
        return NotMeasured("the turns are too few or too uneven to tell the pitch")
    return pitch


def _thread_depth(body: Body, core: Quantity) -> Quantity:
    """The depth is told by the core: what is no sure wall for the one is none for the other."""
    if not body.thread.pitch_px:
        return body.thread.pitch_px
    if not core:
        return core
    return thread_depth(body.walls)


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
    rim = body.mark.width_px / 2 + RIM_CLICK_PX
    metal = crest.metal_grey(body.gap_map.beside, body.gap_map.contrast)
    heights = {
        name: crest.crest_height(
            body.strip, body.outline, side=side, platform=body.platform, rim_px=rim, metal=metal
        )
        for name, side in (("crest_mesial", mesial), ("crest_distal", -mesial))
    }
    return dict(heights)


def _forms(
    body: Body,
    above: top.Top,
    gap: Gap | None,
    channel: bore.Bore,
    measures: Mapping[str, Quantity],
) -> dict[str, Form]:
    rim = measures["platform_width"]
    rim_px = rim.value if rim else body.width_px
    return {
        "collar_form": collar.collar_form(
            rim,
            collar.neck(measures["coronal_width"], measures["apical_width"]),
        ),
        "apex_form": apex.apex_form(body.end_shape, opened=body.opened),
        "top_form": above.form,
        "thread_starts": helix.starts_form(body.thread, body.helix),
        "connection_depth": connection_depth(
            gap,
            above,
            channel,
            platform=body.platform,
            rim_px=rim_px,
            faint=body.gap_map.faint,
        ),
        "opening_wall": opening_wall(above, channel, rim_px=rim_px),
    }
