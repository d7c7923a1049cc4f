"""The words of a plan for people: ways, verdicts, parts, heights, leans."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from features.quantity import Quantity
from identify.divergence import Divergence
from identify.insertion import Insertion
from identify.plan import PlannedOption
from identify.words import quantity_text

INDICATIONS = {
    "single": "Single crown",
    "splinted": "Joined crowns, bridge",
    "removable": "Overdenture",
}
RETENTIONS = {
    "cement": "Cemented",
    "screw": "Screw-retained",
    "ball": "Ball attachment",
    "low_profile_stud": "Low stud attachment",
    "bar": "Bar",
    "telescopic": "Telescopic copings",
    "magnet": "Magnet",
}
MAKINGS = {
    "stock": "stock part",
    "milled": "milled",
    "bonded_base": "on a bonded base",
    "cast_to": "cast to a machined base",
    "castable": "castable pattern",
}
VERDICTS = {
    "suits": "suits",
    "with_care": "with care",
    "does_not_suit": "does not suit",
    "cannot_judge": "cannot be judged yet",
}


def way_key(option: PlannedOption) -> str:
    """Name an option in what is kept of a case."""
    return " ".join(option.way)


def way_title(option: PlannedOption, *more: PlannedOption) -> str:
    """An option in words; `more` differ from it in how they are made alone."""
    made = ", ".join(MAKINGS[one.making] for one in (option, *more))
    return f"{INDICATIONS[option.indication]}: {RETENTIONS[option.retention].lower()}, {made}"


def divergence_text(divergence: Divergence) -> str:
    """How far the implants diverge, or why that is not known; nothing where there is only one."""
    angle = divergence.largest_deg
    if angle:
        return f"The implants diverge by {quantity_text(angle)} in space."
    return "" if "one implant" in angle.reason else f"Divergence not measured: {angle.reason}."


def height_text(height: Quantity) -> str:
    """Height of a layer, or why it is not known."""
    return quantity_text(height) if height else f"not known: {height.reason}"


def part_text(part: Mapping[str, Any]) -> str:
    """One part with its state and when that was checked."""
    thread = f", thread {part['thread']}" if "thread" in part else ""
    shelf = f"on the Shelf: {part['on_shelf']}" if "on_shelf" in part else ""
    checked = f"checked {part['checked_on']}" if "checked_on" in part else ""
    remarks = ", ".join(filter(None, (shelf, checked)))
    return f"{part['kind']}{thread}: {part['state']}" + (f" ({remarks})" if remarks else "")


def collar_text(choice: Mapping[str, Any]) -> str:
    """Which margin or collar one implant wants."""
    return f"{choice['label']}: {choice['text']}"


def lean_texts(path: Insertion | None) -> tuple[str, ...]:
    """How far each implant leans from the best common path, and what is cut for it."""
    if path is None:
        return ()
    texts = []
    for label, lean in path.leans_deg.items():
        cut = path.cuts_mm[label]
        cuts = f"; cut {quantity_text(cut)} off the top of one wall" if cut.value > 0 else ""
        texts.append(f"{label} leans {quantity_text(lean)} from it{cuts}")
    return tuple(texts)
