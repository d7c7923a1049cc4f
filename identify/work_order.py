"""The work order: one printable page that goes to the laboratory with one way of restoring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import jinja2

from identify.case_file import CaseImplant
from identify.plan import Plan, PlannedOption
from identify.plan_words import (
    INDICATIONS,
    MAKINGS,
    RETENTIONS,
    VERDICTS,
    collar_text,
    height_text,
    lean_texts,
    part_text,
)
from identify.ranking import NOT_CONFIRMED
from identify.vertical_space import DATUMS, Stacked
from identify.words import GROUPS, unbroken


@dataclass(frozen=True, slots=True)
class WorkOrder:
    """What goes on the page.

    Attributes
    ----------
    plan, option : Plan, PlannedOption
        The plan, and the one way of it that is ordered.
    implants : sequence of CaseImplant
    film_name, date : str
        As they are to be printed.
    typed : mapping of str to str
        What a person typed, label to text. Printed only if given.
    """

    plan: Plan
    option: PlannedOption
    implants: Sequence[CaseImplant]
    film_name: str
    date: str
    typed: Mapping[str, str]


def work_order_html(order: WorkOrder) -> str:
    """One HTML page, complete in itself: no script but the print button's, nothing fetched."""
    option = order.option
    page = _template().render(
        order=order,
        way=way_text(option),
        verdict=VERDICTS[option.verdict],
        group=GROUPS[order.plan.group],
        banner="" if order.plan.confirmed else NOT_CONFIRMED,
        implants=[_implant_text(implant) for implant in order.implants],
        parts=[part_text(part) for part in option.parts],
        collars=[collar_text(choice) for choice in option.collars],
        leans=lean_texts(option.insertion),
        heights=_heights(option.stack),
        cautions=[text for text in option.cautions if text != NOT_CONFIRMED],
        typed={label: text.strip() for label, text in order.typed.items() if text.strip()},
    )
    return unbroken(page)


@cache
def _template() -> jinja2.Template:
    text = Path(__file__).with_name("work_order.html").read_text(encoding="utf-8")
    return jinja2.Environment(
        autoescape=True, trim_blocks=True, lstrip_blocks=True, undefined=jinja2.StrictUndefined
    ).from_string(text)


def way_text(option: PlannedOption) -> str:
    """Name a way of restoring."""
    retention, making = RETENTIONS[option.retention], MAKINGS[option.making]
    return f"{INDICATIONS[option.indication]}: {retention.lower()}, {making}"


def _implant_text(implant: CaseImplant) -> str:
    known = {
        "tooth {}": implant.tooth,
        "platform {:.1f} mm as measured": implant.platform_width_mm,
        "gum {:g} mm deep": implant.tissue_depth_mm,
    }
    facts = (words.format(value) for words, value in known.items() if value is not None)
    return f"Implant {implant.label}: {', '.join(facts) or 'nothing measured'}"


def _heights(stack: Stacked | None) -> list[str]:
    if stack is None:
        return []
    rows = [f"{layer.name}: {height_text(layer.height_mm)}" for layer in stack.layers]
    return [
        *rows,
        f"together, from {DATUMS[stack.datum]} up: {height_text(stack.needed_mm)}",
        f"left of the space there is: {height_text(stack.left_mm)}",
    ]
