"""Keys of the file contracts in a clinician's words, and numbers as people read them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from features.finding import Finding, Form, Vent
from features.quantity import Measured, NotMeasured, Quantity
from identify.evidence import find_item

if TYPE_CHECKING:
    from features.reading import ImplantReading
    from features.scale import Scale
    from identify.checklist import Checklist

# In reading order: the whole body first, then what is cut into it, then the bone.
MEASURES = {
    "length_mm": "Length",
    "platform_width_mm": "Platform width",
    "coronal_width_mm": "Width of the upper body",
    "apical_width_mm": "Width of the lower body",
    "core_width_mm": "Core width",
    "taper_deg": "Taper, per side",
    "thread_pitch_mm": "Thread pitch",
    "thread_depth_mm": "Thread depth",
    "bore_width_mm": "Width of the inner channel",
    "bore_depth_mm": "Depth of the inner channel",
    "bore_mouth_mm": "Width of the opening",
    "bore_cone_deg": "Wall of the opening, per side",
    "collar_height_mm": "Height of the smooth collar",
    "crest_mesial_mm": "Platform to bone, mesial",
    "crest_distal_mm": "Platform to bone, distal",
    "tilt_deg": "Beam off square",
    "length_to_width": "Length ÷ width",
    "platform_to_width": "Platform ÷ width",
    "apical_to_width": "Apical width ÷ width",
    "core_to_width": "Core ÷ width",
    "pitch_to_width": "Pitch ÷ width",
    "depth_to_width": "Thread depth ÷ width",
    "bore_to_width": "Bore ÷ width",
    "bore_depth_to_width": "Bore depth ÷ width",
    "mouth_to_width": "Bore mouth ÷ width",
    "collar_to_width": "Collar ÷ width",
}
FINDINGS = {
    "threads": "Screw thread",
    "rings": "Rings or fins (not a screw)",
    "vents": "Holes through the body",
    "bore": "Inner channel",
    "micro_threads": "Fine thread at the neck",
    "steps": "Steps in the outline",
    "perforations": "Open basket with rows of holes",
    "flutes": "Cutting grooves near the apex",
    "inset": "Abutment narrower than the platform",
    "dense": "Evenly white up to its edges",
    "solid": "Solid metal under the part on it",
    "collar_form": "Form of the collar",
    "apex_form": "Form of the apex",
    "top_form": "What stands above the platform",
    "thread_starts": "Stagger of left and right crests",
    "connection_depth": "Depth of the connection",
    "opening_wall": "Wall of the opening, how long",
}
GROUPS = {
    "external_index": "external index",
    "internal_index": "internal index",
    "cone": "conical connection",
    "self_locking": "self-locking taper",
    "no_index": "no index",
    "one_piece": "one piece, nothing to connect",
}
BY = {
    "film": "film",
    "eye": "seen on the film",
    "mouth": "seen or felt in the mouth",
    "bench": "at the bench",
    "known": "known from a record",
}
# What an uncertainty comes from: the names in features, in a clinician's words.
SOURCES = {
    "edge": "noise at the edges",
    "edge_model": "how a round metal edge shows",
    "other_edge": "another edge close to the mark",
    "surface": "grain on the surface",
    "walls": "how straight the walls run",
    "axis_model": "a body that is not quite round",
    "uneven_thread": "turns of the thread that differ",
    "ends": "the first and last turns of the thread",
    "ledge": "a step in the body close by",
    "uneven_wall": "an uneven wall",
    "unlike_sides": "the two sides differ",
    "cut_wall": "flutes or grooves cut the wall there",
    "rim": "a rounded or bevelled rim",
    "joint": "the joint was only guessed",
    "marks": "where it was marked",
    "bone": "bone texture beside the metal",
    "tilt": "the tilt of the beam",
    "end_shape": "the form of the apex under a tilted beam",
    "fading": "a thin tip that fades into the bone",
    "platform": "the height of the platform on a sloping wall",
    "height": "the height it is taken at, on a sloping wall",
    "axis": "the direction of the axis",
    "thread_shape": "the form of the thread",
    "thread_depth": "the depth of the thread",
    "thread_start": "where the thread begins",
    "channel_end": "where the channel ends",
    "channel_wall": "the channel’s tapped wall",
    "burnt_out": "metal beside the channel whiter than the film shows",
    "blur": "blur of the film",
    "crest": "how clearly the bone begins",
    "known_size": "the known size itself",
    "scale_edge": "the marking of the known size",
    "scale_depth": "the known size lying nearer or farther than the implant",
    "scale": "the scale",
    "other": "all else",
}
UNITS = {"mm": " mm", "px": " px", "deg": "°", "mm/px": " mm per px", "": ""}


def bare(key: str) -> str:
    """Return a key without its unit: a trace belongs to a measure in whatever unit."""
    return key.removesuffix("_mm").removesuffix("_px").removesuffix("_deg")


def measure_label(key: str) -> str:
    """Words for a measure; a length in px carries the words of its mm."""
    return MEASURES.get(key) or MEASURES.get(f"{bare(key)}_mm") or plain(key)


def item_label(key: str) -> str:
    """Words for any measure, form or finding."""
    return FINDINGS.get(key) or measure_label(key)


def label_of(key: str, checklist: Checklist) -> str:
    """Return the checklist's words for an item, or ours for what it does not weigh."""
    entry = find_item(key, checklist)
    if entry is None:
        return item_label(key)
    return entry.label if key == entry.key else f"{entry.label} ÷ body width"


def sources_text(quantity: Measured) -> str:
    """Where a ± comes from, largest share of the variance first; shares under 5 % are left out."""
    whole = quantity.std**2
    shares = [(std**2 / whole, name) for name, std in quantity.parts if std**2 > 0.05 * whole]
    return " · ".join(
        f"{SOURCES.get(name, name)} {percent(share)}" for share, name in sorted(shares)[::-1]
    )


def looked_for(implant: ImplantReading) -> dict[str, Form | Finding]:
    """Return forms and findings in one table."""
    return {**implant.forms, **implant.findings}


def unmeasured(implant: ImplantReading) -> dict[str, str]:
    """Return the reason of everything that could not be measured."""
    measures = implant.measures
    return {key: q.reason for key, q in measures.items() if isinstance(q, NotMeasured)}


def state_text(what: Form | Finding) -> str:
    """Return a state and how sure it is."""
    return f"{what.state}, {percent(what.probability)}"


def plain(key: str) -> str:
    """Turn a key into a sentence's start: ``micro_threads`` → "Micro threads"."""
    return key.replace("_", " ").capitalize()


def measure_order(key: str) -> tuple[int, str]:
    """Sort key that puts measures in reading order."""
    known = [bare(measure) for measure in MEASURES]
    return (known.index(bare(key)) if bare(key) in known else len(known)), key


def quantity_text(quantity: Quantity) -> str:
    """``10.1 ± 0.2 mm`` (± is the 95 % interval), or the reason why there is no number."""
    return quantity.reason if isinstance(quantity, NotMeasured) else measured_text(quantity)


def number_text(value: float, unit: str) -> str:
    """Return a number as a person gave it, with its unit."""
    return f"{value:g}" if unit == "year" else f"{value:g}{UNITS[unit]}"


def measured_text(measured: Measured) -> str:
    """Value and 95 % half-width, both rounded to where the half-width begins."""
    half = 1.96 * measured.std
    unit = UNITS.get(measured.unit, f" {measured.unit}")
    if half <= 0:
        return f"{measured.value:g}{unit}"
    places = _places(half)
    value = f"{measured.value:.{places}f}".replace("-", "−")
    return f"{value} ± {half:.{places}f}{unit}"


def _places(half: float) -> int:
    # two digits where the first is a 1 or 2 (rounding would change it much), else one
    exponent = math.floor(math.log10(half))
    digits = 2 if half / 10**exponent < 3 else 1
    return max(0, digits - 1 - exponent)


def percent(probability: float) -> str:
    """Whole per cent, never 0 % or 100 %: neither is ever certain."""
    if probability < 0.01:
        return "under 1 %"
    if probability > 0.99:
        return "over 99 %"
    return f"{round(100 * probability)} %"


def vent_text(vent: Vent) -> str:
    """Describe one hole through the body in a line."""
    if vent.shape == "band":
        height, place = quantity_text(vent.height), quantity_text(vent.from_apex)
        return f"seen from the side, {height} along, {place} from the apex"
    sizes = (f"{quantity_text(vent.width)} across", f"{quantity_text(vent.height)} along")
    return f"{vent.shape}, {', '.join(sizes)}, {quantity_text(vent.from_apex)} from the apex"


def scale_text(scale: Scale) -> str:
    """Word the scale with its interval, or why there is none, and where it came from."""
    said = quantity_text(scale.mm_per_px).removeprefix("no scale: ")
    return f"{as_sentence(said)} {scale.sentence}"


def as_sentence(said: str) -> str:
    """Begin with a capital and end with a stop."""
    whole = said[:1].upper() + said[1:]
    return whole if whole.endswith((".", "!", "?")) else f"{whole}."


def unbroken(text: str) -> str:
    """Keep a number and its per cent sign on one line."""
    return text.replace(" %", "\u00a0%")


def points_text(points: float) -> str:
    """Signed points with one decimal, with a true minus sign."""
    rounded = round(points, 1) + 0.0
    return f"{rounded:+.1f}".replace("-", "−") if rounded else "0"
