"""A plan (`plan/1`): every way of restoring one case, judged, with its reasons."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from identify.divergence import Divergence
from identify.note import Group, Indication, Making, Retention, Verdict
from identify.rules import OtherWay

SEVERITY: dict[Verdict, int] = {"suits": 0, "with_care": 1, "does_not_suit": 2, "cannot_judge": 3}


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence, its standing, and its reference where it has one."""

    text: str
    standing: str
    source: str | None = None

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {"text": self.text, "standing": self.standing, "source": self.source}


@dataclass(frozen=True, slots=True)
class PlannedOption:
    """One way of restoring this case, judged; the first reason is the family's own."""

    indication: Indication
    retention: Retention
    making: Making
    verdict: Verdict
    reasons: tuple[Reason, ...]
    sequence: tuple[str, ...] = ()
    parts: tuple[dict[str, str], ...] = ()
    cautions: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "indication": self.indication,
            "retention": self.retention,
            "making": self.making,
            "verdict": self.verdict,
            "reasons": [reason.to_json() for reason in self.reasons],
            "sequence": list(self.sequence),
            "parts": list(self.parts),
            "cautions": list(self.cautions),
        }

    def because(self, reason: Reason, at_best: Verdict = "suits") -> PlannedOption:
        """Add a reason that leaves the option no better than `at_best`."""
        verdict = max(self.verdict, at_best, key=SEVERITY.__getitem__)
        return replace(self, verdict=verdict, reasons=(*self.reasons, reason))


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything the case file's question is answered with (`plan/1`)."""

    family: str
    title: str
    group: Group
    confirmed: bool
    divergence: Divergence
    stop: str | None
    options: tuple[PlannedOption, ...]
    other_ways: tuple[OtherWay, ...]
    checks: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "radiofixture": "plan/1",
            "family": self.family,
            "title": self.title,
            "group": self.group,
            "confirmed": self.confirmed,
            "divergence_deg": self.divergence.to_json(),
            "stop": self.stop,
            "options": [option.to_json() for option in self.options],
            "other_ways": [{"choice": way.choice, "text": way.text} for way in self.other_ways],
            "checks": list(self.checks),
            "cautions": list(self.cautions),
            "notes": list(self.notes),
        }
