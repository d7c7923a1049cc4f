"""The lab sheet: one page the lab works from, with what is proven apart from what is assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from identify.evidence import by_hand
from identify.printed import Paper, print_pages
from identify.ranking import NOT_CONFIRMED
from identify.record import program_version
from identify.sheet import Sheet
from identify.teeth import tooth_text
from identify.words import BY, number_text, quantity_text, unbroken

NOT_STATED = "not stated: ask before starting"
# What a lab asks of every implant case (common practice); the clinician fills in what is known.
ASKED = (
    ("Impression level", "implant or abutment level"),
    ("Transfer or scan body", "impression post or scan body, and by which system"),
    ("Replica", "implant or abutment analogue"),
    ("Screw exit", "where the screw channel leaves the crown"),
    ("Vertical space", "in mm, and from where to where it was measured"),
    ("Tissue depth", "platform to mucosa, in mm"),
    ("Jig", "verification jig, where implants are splinted"),
    ("New definitive screw", "a new one for delivery, never the one used in the lab"),
    ("Shade", ""),
)
WIDTHS = {
    "platform_width_mm": "platform",
    "coronal_width_mm": "upper body",
    "length_mm": "length",
}


@dataclass(frozen=True, slots=True)
class LabOrder:
    """What the clinician states for the lab, by the labels of `ASKED`; and the work wanted."""

    work: str
    stated: Mapping[str, str]
    due: str = ""


def lab_sheet_pdf(
    sheet: Sheet, order: LabOrder, *, plan: Mapping[str, Any] | None = None, paper: Paper = "a4"
) -> bytes:
    """Print the lab's page for one implant.

    Parameters
    ----------
    plan : mapping, optional
        The restoration plan as lines (`plan_lines`); parts are listed once a way is chosen.
    """
    data = lab_sheet_data(sheet, order, plan) | {"paper": paper}
    pictures = {"film.svg": sheet.picture_svg} if sheet.picture_svg else {}
    return print_pages("lab_sheet.typ", data, pictures)


def lab_sheet_data(
    sheet: Sheet, order: LabOrder, plan: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return everything on the lab sheet as plain data (`lab-sheet/1`)."""
    planned: Mapping[str, Any] = plan or {}
    way = planned.get("chosen", "")
    tooth = tooth_text(sheet.implant.tooth) if sheet.implant.tooth else "tooth not given"
    return {
        "radiofixture": "lab-sheet/1",
        "title": "Lab sheet",
        "head": f"Implant {sheet.label} · {tooth} · {sheet.date}",
        "foot": f"Implant {sheet.label}",
        "stamp": "" if sheet.confirmed else NOT_CONFIRMED,
        "confirmed": sheet.confirmed,
        "warnings": list(sheet.warnings),
        "work": order.work or NOT_STATED,
        "due": order.due or NOT_STATED,
        "asked": [[label, order.stated.get(label) or NOT_STATED, hint] for label, hint in ASKED],
        "implant": _implant_lines(sheet),
        "proven": _proven(sheet),
        "assumed": _assumed(sheet),
        "way": way,
        "parts": list(planned["parts"]) if way else [],
        "stop": planned.get("stop", ""),
        "picture": "film.svg" if sheet.picture_svg else "",
        "picture_alt": f"The film around implant {sheet.label}.",
        "cautions": list(sheet.family_cautions),
        "typed": [[label, text] for label, text in sheet.typed.items() if text.strip()],
        "version": program_version(),
        "film_hash": sheet.film_hash,
    }


def _implant_lines(sheet: Sheet) -> list[list[str]]:
    return [
        ["Platform and body", "; ".join(_measured(sheet, key) for key in WIDTHS)],
        ["What was weighed", unbroken(sheet.verdict)],
    ]


def _measured(sheet: Sheet, key: str) -> str:
    return f"{WIDTHS[key]}: {unbroken(_size(sheet, key))}"


def _size(sheet: Sheet, key: str) -> str:
    """Return a size in mm: measured by hand, else on the film."""
    if item := by_hand(sheet.evidence, key):
        return f"{number_text(item.value or 0.0, 'mm')} ({BY[item.by]})"
    if sheet.reading is None:
        return "not measured"
    measures = sheet.implant.measures
    return quantity_text(measures[key]) if key in measures else "no scale"


def _proven(sheet: Sheet) -> list[str]:
    return [f"The family: {sheet.confirmed}."] if sheet.confirmed else ["Nothing yet."]


def _assumed(sheet: Sheet) -> list[str]:
    basis = "read off one film" if sheet.reading else "from answers alone, without a film"
    if sheet.confirmed:
        return [f"Sizes not confirmed with the family: {basis}."]
    return [
        f"The family, the connection and all sizes: {basis}.",
        "That parts can be had at all: ask before planning on them.",
    ]
