"""A plan as lines for the record: every way, its verdict, what decides it; parts and cautions."""

from __future__ import annotations

from typing import Any

from identify.plan import SEVERITY, Plan, PlannedOption
from identify.plan_words import (
    INDICATIONS,
    MAKINGS,
    RETENTIONS,
    VERDICTS,
    divergence_text,
)
from identify.ranking import NOT_CONFIRMED
from identify.words import unbroken

WORTH_PARTS = ("suits", "with_care")


def plan_lines(plan: Plan) -> dict[str, Any]:
    """Return the plan as plain text, the best ways first.

    Ways that share indication, retention, verdict and deciding reason stand on one line.
    """
    ordered = sorted(plan.options, key=lambda option: SEVERITY[option.verdict])
    alike: dict[tuple[str, ...], list[PlannedOption]] = {}
    for option in ordered:
        key = (option.indication, option.retention, option.verdict, option.deciding.text)
        alike.setdefault(key, []).append(option)
    return {
        "title": plan.title,
        "stop": plan.stop or "",
        "divergence": divergence_text(plan.divergence),
        "options": [_line(options) for options in alike.values()],
        "parts": [list(part) for part in parts_of(plan)],
        "instead": [way.text for way in plan.other_ways],
        "cautions": [text for text in plan.cautions if text != NOT_CONFIRMED],
    }


def parts_of(plan: Plan) -> list[tuple[str, str]]:
    """Kinds of part and their state over all ways that suit or go with care, each once."""
    parts: dict[str, str] = {}
    for option in plan.options:
        if option.verdict in WORTH_PARTS:
            for part in option.parts:
                parts.setdefault(str(part["kind"]), str(part["state"]))
    return sorted(parts.items())


def _line(options: list[PlannedOption]) -> dict[str, Any]:
    first = options[0]
    made = ", ".join(MAKINGS[option.making] for option in options)
    return {
        "title": f"{INDICATIONS[first.indication]}: {RETENTIONS[first.retention].lower()}, {made}",
        "verdict": VERDICTS[first.verdict],
        "reasons": [unbroken(first.deciding.text), *first.changes[:1]],
    }
