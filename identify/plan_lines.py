"""A plan as lines for the record: every way, its verdict, what decides it; parts and cautions."""

from __future__ import annotations

from typing import Any

from identify.plan import SEVERITY, Plan, PlannedOption
from identify.plan_words import VERDICTS, divergence_text, way_key, way_title
from identify.ranking import NOT_CONFIRMED
from identify.words import unbroken

WORTH_PARTS = ("suits", "with_care")


def plan_lines(plan: Plan, way: str = "") -> dict[str, Any]:
    """Return the plan as plain text, the best ways first.

    Ways that share indication, retention, verdict and deciding reason stand on one line.

    Parameters
    ----------
    plan : Plan
    way : str
        The way that was chosen (`plan_words.way_key`); parts are those of this one alone.
    """
    chosen = chosen_option(plan, way)
    ordered = sorted(plan.options, key=lambda option: SEVERITY[option.verdict])
    alike: dict[tuple[str, ...], list[PlannedOption]] = {}
    for option in ordered:
        key = (option.indication, option.retention, option.verdict, option.deciding.text)
        alike.setdefault(key, []).append(option)
    return {
        "title": plan.title,
        "stop": plan.stop or "",
        "divergence": divergence_text(plan.divergence),
        "chosen": way_title(chosen) if chosen else "",
        "options": [_line(options) for options in alike.values()],
        "parts": [list(part) for part in parts_of(plan, way)],
        "instead": [way.text for way in plan.other_ways],
        "cautions": [text for text in plan.cautions if text != NOT_CONFIRMED],
    }


def ways_open(plan: Plan) -> list[PlannedOption]:
    """Ways that may be chosen: none while the plan is stopped, none that does not suit."""
    if plan.stop:
        return []
    found = [option for option in plan.options if option.verdict != "does_not_suit"]
    return sorted(found, key=lambda option: SEVERITY[option.verdict])


def chosen_option(plan: Plan, way: str) -> PlannedOption | None:
    """Return the way chosen, while it is still open."""
    return next((option for option in ways_open(plan) if way_key(option) == way), None)


def parts_of(plan: Plan, way: str = "") -> list[tuple[str, str]]:
    """Kinds of part and their state, each once: of the way chosen, else of all worth a thought."""
    chosen = chosen_option(plan, way)
    worth = [option for option in ways_open(plan) if option.verdict in WORTH_PARTS]
    parts: dict[str, str] = {}
    for option in [chosen] if chosen else worth:
        for part in option.parts:
            parts.setdefault(str(part["kind"]), str(part["state"]))
    return sorted(parts.items())


def _line(options: list[PlannedOption]) -> dict[str, Any]:
    first = options[0]
    return {
        "title": way_title(*options),
        "verdict": VERDICTS[first.verdict],
        "reasons": [unbroken(first.deciding.text), *first.changes[:1]],
    }
