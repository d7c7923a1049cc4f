"""The record as a PDF: all implants of a film, the plan, and a place to confirm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from identify.checklist import Checklist
from identify.printed import Paper, print_pages
from identify.ranking import NOT_CONFIRMED
from identify.record import NOT_A_DEVICE, implant_rows, program_version, typed_lines
from identify.sheet import Sheet
from identify.teeth import tooth_text
from identify.words import unbroken


def record_pdf(
    sheets: Sequence[Sheet],
    checklist: Checklist,
    *,
    plan: Mapping[str, Any] | None = None,
    notes_version: str = "",
    paper: Paper = "a4",
) -> bytes:
    """Print the record of all implants on one film, or of one without a film.

    Parameters
    ----------
    sheets : sequence of Sheet
        One an implant, all of one film; or one of an implant that no film shows.
    plan : mapping, optional
        The restoration plan as rows of text (`plan_rows`).
    notes_version : str
        Which reference notes weighed.
    """
    pictures = {_picture(sheet): sheet.picture_svg for sheet in sheets if sheet.picture_svg}
    data = record_data(sheets, checklist, plan, notes_version) | {"paper": paper}
    return print_pages("record.typ", data, pictures)


def record_data(
    sheets: Sequence[Sheet],
    checklist: Checklist,
    plan: Mapping[str, Any] | None = None,
    notes_version: str = "",
) -> dict[str, Any]:
    """Return everything on the record as plain data (`record/1`)."""
    first = sheets[0]
    return {
        "radiofixture": "record/1",
        "title": first.title,
        "head": f"{first.film_name} · {first.date}",
        "foot": f"Record of {first.date}",
        "stamp": "" if all(sheet.confirmed for sheet in sheets) else NOT_CONFIRMED,
        "warnings": list(dict.fromkeys(said for sheet in sheets for said in sheet.warnings)),
        "typed": [list(pair) for pair in typed_lines(first.typed).items()],
        "no_film": first.no_film,
        "scale": unbroken(first.scale),
        "implants": [_implant(sheet, checklist) for sheet in sheets],
        "plan": plan,
        "not_a_device": NOT_A_DEVICE,
        "version": program_version(),
        "notes_version": notes_version or "as shipped",
        "film_hash": first.film_hash,
    }


def _implant(sheet: Sheet, checklist: Checklist) -> dict[str, Any]:
    rows: dict[str, Any] = _unbroken(implant_rows(sheet, checklist))
    return rows | {
        "label": sheet.label,
        "tooth": tooth_text(sheet.implant.tooth) if sheet.implant.tooth else "",
        "confirmed": sheet.confirmed,
        "verdict": unbroken(sheet.verdict),
        "picture": _picture(sheet),
        "picture_alt": f"The film around implant {sheet.label} with numbered lines of measurement."
        if sheet.picture_svg
        else "",
        "bar": sheet.scale_bar,
        "next": [{"question": look.question, "why": look.why} for look in sheet.next_looks[:3]],
        "cautions": list(sheet.cautions),
    }


def _picture(sheet: Sheet) -> str:
    return f"{sheet.label}.svg" if sheet.picture_svg else ""


def _unbroken(data: Any) -> Any:
    if isinstance(data, str):
        return unbroken(data)
    if isinstance(data, dict):
        return {key: _unbroken(value) for key, value in data.items()}
    return [_unbroken(value) for value in data] if isinstance(data, list) else data
