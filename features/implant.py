"""Read one marked implant in film pixels: every measure, form, finding and trace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features import apex, bore, collar, crest, flutes, gaps, sides, starts, tilt, top, vents, widths
from features.finding import Finding, Form, Vent
from features.marks import ImplantMark
from features.outline import Outline, follow_implant
from features.quantity import Measured, NotMeasured, Quantity
from features.strip import Strip
from features.threads import Thread, find_thread, wall_comb
from features.traces import Trace, outline_traces, vent_trace

HAND_HELD = 0.008  # cos of the usual 5-8 degrees off square, as a standard uncertainty: derived
SHALLOWEST = 0.022  # of the body width: the shallowest thread in use is about three times this
AXIS_TOLERANCE_DEG = 4.0  # a click's error over an implant's length; more is worth saying


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


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """What every measurement below starts from."""

    strip: Strip
    outline: Outline
    mark: ImplantMark
    platform: Measured
    tip: Quantity
    thread: Thread
    walls: widths.Walls
    gap_map: gaps.GapMap

    @property
    def length_px(self) -> float:
        end = self.tip.value if self.tip else self.strip.axis.length_px
        return end - self.platform.value

    @property
    def tip_px(self) -> float:
        return self.tip.value if self.tip else self.strip.axis.length_px

    @property
    def width_px(self) -> float:
        return float(np.median(self.outline.width_px))

    @property
    def ring_likeness(self) -> float:
        return starts.ring_likeness(self.strip, self.outline, self.thread)

    def height(self, share: float) -> float:
        """Height on the strip at a share of the length from the platform."""
        return self.platform.value + share * self.length_px


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
    body, notes = _find_body(pixels, mark)
    above = top.look_above(body.strip, body.outline, platform_px=body.platform.value)
    fine_finding, fine = collar.micro_threads(body.strip, body.outline, body.thread)
    channel = bore.measure_bore(
        body.strip, body.gap_map, width_px=body.width_px, tip_px=body.tip_px, covered=above.covered
    )
    holes = _vents(body, channel)
    measures = _lengths(body, holder) | _thread_measures(body, fine, holder) | _bore_measures(channel)
    measures |= _crests(body) | {"tilt_deg": tilt.measure_tilt(), "taper_deg": _taper(measures, body)}
    return ImplantReading(
        mark.label,
        mark.tooth,
        measures,
        _forms(body, above, measures["platform_width"]),
        _findings(body, channel, holes, fine_finding),
        tuple(vent for vent, _ in holes),
        _traces(body, channel, holes),
        tuple(notes),
    )


def _vents(body: _Body, channel: bore.Bore) -> tuple[tuple[Vent, float], ...]:
    end = channel.depth_px.value if channel.depth_px else 0.0
    return vents.find_vents(
        body.gap_map, tip_px=body.tip_px, width_px=body.width_px, bore_end_px=end
    )


def _traces(
    body: _Body, channel: bore.Bore, holes: tuple[tuple[Vent, float], ...]
) -> tuple[Trace, ...]:
    boxes = [vent_trace(body.strip, vent, t, body.tip_px) for vent, t in holes]
    lines = outline_traces(
        body.walls, body.thread, channel, platform_px=body.platform.value, tip_px=body.tip_px
    )
    return lines + tuple(box for box in boxes if box)


def _find_body(pixels: NDArray[np.float32], mark: ImplantMark) -> tuple[_Body, list[str]]:
    strip, outline, turned = follow_implant(pixels, mark)
    notes = []
    if abs(turned) > AXIS_TOLERANCE_DEG:
        notes.append(
            f"the walls run {abs(turned):.0f}° off the marked axis; check the platform and apex marks"
        )
    platform, note = collar.find_platform(strip, outline, mark)
    notes += [note] if note else []
    start = platform if isinstance(platform, Measured) else Measured(0.0, mark.std_px, "px")
    tip = apex.find_tip(strip, outline)
    if not tip:
        notes.append(f"the apex was taken where it was marked: {tip.reason}")
    width = float(np.median(outline.width_px))
    length = strip.axis.length_px
    thread = find_thread(wall_comb(strip, outline, 0.05 * length, 0.95 * length), width_px=width)
    pitch = thread.pitch_px.value if thread.pitch_px else 0.0
    end = tip.value if tip else length
    gap_map = gaps.find_gaps(strip, outline, tip_px=end, pitch_px=pitch)
    thread, walls = _deep_enough(strip, outline, thread)
    return _Body(strip, outline, mark, start, tip, thread, walls, gap_map), notes


def _deep_enough(
    strip: Strip, outline: Outline, thread: Thread
) -> tuple[Thread, widths.Walls]:
    """A comb without depth is a row of holes or bone texture, not a thread."""
    walls = widths.fit_walls(strip, outline, thread)
    depths = [d for d, _ in _depths(walls)]
    if not depths or max(depths) > SHALLOWEST * float(np.median(outline.width_px)):
        return thread, walls
    reason = "the walls repeat but have no depth: not a thread"
    flat = Thread(NotMeasured(reason), 0.15, thread.share)
    return flat, widths.fit_walls(strip, outline, flat)


def _lengths(body: _Body, holder: bool) -> dict[str, Quantity]:
    reach = max(0.04 * body.length_px, 3.0)
    return {
        "length": _length(body, holder),
        "platform_width": collar.platform_width(
            body.walls, platform_px=body.platform.value, length_px=body.length_px
        ),
        "coronal_width": widths.envelope_at(body.walls, body.height(0.25), reach),
        "apical_width": widths.envelope_at(body.walls, body.height(0.75), reach),
        "core_width": widths.core_at(body.walls, body.height(0.5), reach),
    }


def _length(body: _Body, holder: bool) -> Quantity:
    if isinstance(body.tip, NotMeasured) and "outside" in body.tip.reason:
        return body.tip
    end_std = body.tip.std if body.tip else 1.5 * body.mark.std_px
    # A hand-held film may shorten or lengthen by a percent or two; ends of a tilted body
    # are ellipses, half a width times the sine of a few degrees: derived.
    tilted = 0.0 if holder else HAND_HELD * body.length_px
    ends = 0.02 * body.width_px
    std = float(np.sqrt(body.platform.std**2 + end_std**2 + tilted**2 + ends**2))
    return Measured(body.length_px, std, "px")


def _taper(measures: Mapping[str, Quantity], body: _Body) -> Quantity:
    coronal, apical = measures["coronal_width"], measures["apical_width"]
    if not coronal or not apical:
        return NotMeasured("the body's width could not be measured at both heights")
    apart = 0.5 * body.length_px
    slope = (coronal.value - apical.value) / (2 * apart)
    std = float(np.degrees(np.hypot(coronal.std, apical.std) / (2 * apart)))
    return Measured(float(np.degrees(np.arctan(slope))), float(np.hypot(std, 0.1)), "deg")


def _thread_measures(body: _Body, fine: Thread | None, holder: bool) -> dict[str, Quantity]:
    thread = body.thread
    height = collar.collar_height(
        thread, fine, platform_px=body.platform.value, length_px=body.length_px
    )
    return {
        "thread_pitch": _pitch(thread, holder),
        "thread_depth": _thread_depth(body),
        "collar_height": height,
    }


def _pitch(thread: Thread, holder: bool) -> Quantity:
    """The pitch shortens like the length where the film was held by hand."""
    pitch = thread.pitch_px
    if not pitch or holder:
        return pitch
    return Measured(pitch.value, float(np.hypot(pitch.std, HAND_HELD * pitch.value)), "px")


def _thread_depth(body: _Body) -> Quantity:
    if not body.thread.pitch_px:
        return body.thread.pitch_px
    depths = _depths(body.walls)
    if not depths:
        return NotMeasured("the thread's profile could not be fitted on either wall")
    value = float(np.mean([depth for depth, _ in depths]))
    spread = float(np.ptp([depth for depth, _ in depths])) / 2
    std = float(np.sqrt(spread**2 + (0.06 * value) ** 2 + np.mean([s for _, s in depths]) ** 2))
    return Measured(value, std, "px")


def _depths(walls: widths.Walls) -> list[tuple[float, float]]:
    """Thread depth and its std on each wall where it could be fitted, px."""
    return [
        (cell.crest_px.value - cell.root_px.value, cell.root_px.std)
        for wall in (walls.left, walls.right)
        for _, _, cell in wall.cells
        if cell.crest_px and cell.root_px
    ]


def _bore_measures(channel: bore.Bore) -> dict[str, Quantity]:
    return {
        "bore_width": channel.width_px,
        "bore_depth": channel.depth_px,
        "bore_mouth": channel.mouth_px,
        "bore_cone_deg": channel.cone_deg,
    }


def _crests(body: _Body) -> dict[str, Quantity]:
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


def _forms(body: _Body, above: top.Top, platform: Quantity) -> dict[str, Form]:
    opened = vents.open_end_probability(
        body.gap_map, tip_px=body.tip_px, width_px=body.width_px
    )
    return {
        "collar_form": collar.collar_form(body.walls, platform=platform, length_px=body.length_px),
        "apex_form": apex.apex_form(
            body.outline,
            body.strip,
            tip_px=body.tip_px,
            opened=opened,
            background=gaps.beside_grey(body.strip, body.outline),
        ),
        "top_form": above.form,
        "thread_starts": starts.starts_form(body.thread, body.ring_likeness),
    }


def _findings(
    body: _Body, channel: bore.Bore, holes: tuple[tuple[Vent, float], ...], fine: Finding
) -> dict[str, Finding]:
    combed = bool(body.thread.pitch_px)
    return {
        **starts.thread_and_rings(body.thread, body.ring_likeness),
        "vents": vents.vents_finding(tuple(vent for vent, _ in holes), body.gap_map),
        "bore": channel.finding,
        "micro_threads": fine,
        "steps": crest.steps_finding(body.outline, tip_px=body.tip_px, threaded=combed),
        "perforations": vents.perforations_finding(
            body.strip,
            body.gap_map,
            tip_px=body.tip_px,
            width_px=body.width_px,
            vented=bool(holes),
        ),
        "flutes": flutes.flutes_finding(body.strip, body.outline, body.gap_map, tip_px=body.tip_px),
    }
