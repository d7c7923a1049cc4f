"""The record as tables for other programs: CSV and JSON of the same rows the pages print."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from typing import Any

from features.quantity import Measured
from identify.checklist import Checklist
from identify.evidence import entry_of
from identify.ranking import NOT_CONFIRMED
from identify.record import who_said
from identify.record_pdf import record_data
from identify.sheet import Sheet
from identify.words import label_of

HEADER = ("implant", "tooth_fdi", "kind", "key", "label", "value", "std", "unit", "said")


def record_json(sheets: Sequence[Sheet], checklist: Checklist, plan: Any = None) -> str:
    """Return the record's data as JSON, with the reading and every ranking whole."""
    reading = sheets[0].reading
    data = record_data(sheets, checklist, plan) | {
        "reading": reading.to_json() if reading else None,
        "rankings": {sheet.label: _weighed(sheet) for sheet in sheets},
    }
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def record_csv(sheets: Sequence[Sheet], checklist: Checklist) -> str:
    """One row a number, form, finding, answer and family; UTF-8 with the mark spreadsheets want."""
    store = io.StringIO()
    writer = csv.writer(store, lineterminator="\r\n")  # RFC 4180
    writer.writerow(HEADER)
    for sheet in sheets:
        first = (sheet.label, sheet.implant.tooth or "")
        writer.writerows([*first, *_safe(row)] for row in _rows(sheet, checklist))
    return "\ufeff" + store.getvalue()


def _weighed(sheet: Sheet) -> dict[str, Any]:
    """Return the ranking alone; how far it is confirmed stands with the implant."""
    ranking = sheet.ranking.to_json(rows=True)
    return {key: said for key, said in ranking.items() if key not in ("confirmed", "caution")}


def _rows(sheet: Sheet, checklist: Checklist) -> Iterator[tuple[str, ...]]:
    standing = f"Confirmed: {sheet.confirmed}" if sheet.confirmed else NOT_CONFIRMED
    for said in (standing, *sheet.warnings):
        yield "standing", "", "How far it is confirmed", "", "", "", said
    for key, quantity in sheet.implant.measures.items():
        label = label_of(key, checklist)
        if isinstance(quantity, Measured):
            numbers = (repr(quantity.value), repr(quantity.std), quantity.unit)
            yield ("measure", key, label, *numbers, "")
        else:
            yield ("measure", key, label, "", "", "", quantity.reason)
    for kind, seen in (("form", sheet.implant.forms), ("finding", sheet.implant.findings)):
        for key, what in seen.items():
            yield kind, key, label_of(key, checklist), str(what.probability), "", "", what.state
    yield from _answer_rows(sheet, checklist)
    for support in sheet.ranking.supports:
        probability = repr(support.probability)
        yield "family", support.key, support.title, probability, "", "", support.verdict


def _safe(row: tuple[str, ...]) -> list[str]:
    # a spreadsheet takes text that begins with these for a formula
    return ["'" + text if text[:1] in ("=", "@", "+") else text for text in row]


def _answer_rows(sheet: Sheet, checklist: Checklist) -> Iterator[tuple[str, ...]]:
    for key, item in sorted(sheet.evidence.items.items()):
        if item.by == "film":
            continue
        number = item.value is not None
        value, unit = (repr(item.value), entry_of(key, checklist).unit) if number else ("", "")
        said = f"{item.beside or item.state or ''} ({who_said(item)})".strip()
        yield "answer", key, label_of(key, checklist), value, "", unit, said
