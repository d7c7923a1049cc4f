"""The record: one printable page with everything the next person needs, and no more."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import jinja2

from identify.checklist import Checklist
from identify.evidence import Item, entry_of
from identify.explain import best_against, best_for
from identify.overlay import trace_numbers
from identify.ranking import NOT_CONFIRMED, Ranking, Support
from identify.sheet import Sheet
from identify.words import (
    BY,
    bare,
    label_of,
    looked_for,
    measure_order,
    number_text,
    percent,
    points_text,
    quantity_text,
    state_text,
    unbroken,
    unmeasured,
    vent_text,
)

SHOWN_FAMILIES = 3
TYPED = ("Patient or case number", "Remarks")  # all a person can add to the page
WORTH_A_LINE = 0.01
OF_A_PART = {"part": "of a part on it", "can't tell": "of it or of a part on it"}
NOT_A_DEVICE = (
    "Radiofixture is not a medical device and has not been validated on patients. It measures and "
    "compares; the identification and every decision that follows are the clinician's."
)


def record_html(sheet: Sheet, checklist: Checklist) -> str:
    """One HTML page, complete in itself: no script, nothing fetched, A4 or Letter.

    Parameters
    ----------
    sheet : Sheet
    checklist : Checklist
        For the words of each item.
    """
    page = _template().render(
        sheet=sheet,
        implant=sheet.implant,
        banner="" if sheet.confirmed else NOT_CONFIRMED,
        not_a_device=NOT_A_DEVICE,
        version=program_version(),
        typed=typed_lines(sheet.typed),
        **implant_rows(sheet, checklist),
    )
    return unbroken(page)


def implant_rows(sheet: Sheet, checklist: Checklist) -> dict[str, Any]:
    """Everything said of one implant, as rows of text: the same for HTML, PDF and tables."""
    return {
        "measures": _measure_rows(sheet, checklist),
        "holes": [vent_text(vent) for vent in sheet.implant.vents],
        "items": _item_rows(sheet, checklist),
        "answers": _answer_rows(sheet, checklist),
        "families": [_family_row(support) for support in _shown(sheet.ranking)],
        "rivals": _rivals_text(sheet.ranking),
        "silent": _silent_rows(sheet, checklist),
        "best": sheet.subject.title,
    }


def typed_lines(typed: Mapping[str, str]) -> dict[str, str]:
    """What a person typed, without what was left empty."""
    return {label: text.strip() for label, text in typed.items() if text.strip()}


@cache
def _template() -> jinja2.Template:
    text = Path(__file__).with_name("record.html").read_text(encoding="utf-8")
    return jinja2.Environment(
        autoescape=True, trim_blocks=True, lstrip_blocks=True, undefined=jinja2.StrictUndefined
    ).from_string(text)


def program_version() -> str:
    """Return the installed version, or that it runs from its source."""
    try:
        return version("radiofixture")
    except PackageNotFoundError:
        return "run from source, not installed"


def _points_by_item(sheet: Sheet) -> dict[str, str]:
    return {
        row.item: "–" if row.counted_with else points_text(row.points) for row in sheet.subject.rows
    }


def _measure_rows(sheet: Sheet, checklist: Checklist) -> list[dict[str, Any]]:
    numbers = trace_numbers(sheet.implant)
    points = _points_by_item(sheet)
    measures = sheet.implant.measures
    return [
        {
            "number": numbers.get(bare(key), ""),
            "label": label_of(key, checklist),
            "text": quantity_text(measures[key]),
            "points": points.get(key, ""),
        }
        for key in sorted(measures, key=measure_order)
        if measures[key]
    ]


def _item_rows(sheet: Sheet, checklist: Checklist) -> list[dict[str, str]]:
    points = _points_by_item(sheet)
    numbers = trace_numbers(sheet.implant)
    seen = looked_for(sheet.implant)
    return [
        {
            "number": str(numbers.get(key, "")),
            "label": label_of(key, checklist),
            "text": state_text(what),
            "points": "" if _answered(sheet, key) else points.get(key, ""),
        }
        for key, what in seen.items()
        if what.state != "not assessable"
    ]


def _answered(sheet: Sheet, key: str) -> bool:
    item = sheet.evidence.items.get(key)
    return item is not None and item.by != "film"


def _answer_rows(sheet: Sheet, checklist: Checklist) -> list[dict[str, str]]:
    points = _points_by_item(sheet)
    return [
        {
            "number": "",
            "label": label_of(key, checklist),
            "text": f"{_answer_text(key, item, checklist)} ({who_said(item)})",
            "points": points.get(key, ""),
        }
        for key, item in sorted(sheet.evidence.items.items())
        if item.by != "film"
    ]


def _answer_text(key: str, item: Item, checklist: Checklist) -> str:
    if item.beside:
        return item.beside
    return item.state or number_text(item.value or 0.0, entry_of(key, checklist).unit)


def who_said(item: Item) -> str:
    """Return who gave an answer, and of what where that is not the implant itself."""
    if item.beside:
        return item.note
    return ", ".join(filter(None, [BY[item.by], OF_A_PART.get(item.on, "")]))


def _shown(ranking: Ranking) -> list[Support]:
    best = ranking.supports[:SHOWN_FAMILIES]
    return [s for s in best if s is best[0] or s.probability >= WORTH_A_LINE]


def _family_row(support: Support) -> dict[str, str]:
    reason_for, reason_against = best_for(support), best_against(support)
    return {
        "title": support.title,
        "share": percent(support.probability),
        "word": support.verdict,
        "points": points_text(support.points),
        "reason_for": reason_for.sentence if reason_for else "",
        "reason_against": reason_against.sentence if reason_against else "",
    }


def _rivals_text(ranking: Ranking) -> str:
    return (
        f"None of these: {percent(ranking.none_of_these)}. "
        f"Not an implant: {percent(ranking.not_an_implant)}."
    )


def _silent_rows(sheet: Sheet, checklist: Checklist) -> list[dict[str, str]]:
    missing = unmeasured(sheet.implant)
    silent = {silent.item: silent.reason for silent in sheet.ranking.silent}
    return [
        {"label": label_of(key, checklist), "reason": reason}
        for key, reason in sorted((missing | silent).items())
    ]
