"""A plan (`plan/1`): every way of restoring one case, judged, with its reasons."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from identify.divergence import Divergence
from identify.insertion import Insertion
from identify.note import Group, Indication, Making, Retention, Verdict
from identify.rules import OtherWay
from identify.vertical_space import Stacked

SEVERITY: dict[Verdict, int] = {"suits": 0, "with_care": 1, "does_not_suit": 2, "cannot_judge": 3}


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence, its standing, and its reference where it has one.

    `at_best`: the verdict this reason alone leaves possible.
    """

    text: str
    standing: str
    source: str | None = None
    at_best: Verdict = "suits"

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {"text": self.text, "standing": self.standing, "source": self.source}


@dataclass(frozen=True, slots=True)
class PlannedOption:
    """One way of restoring this case, judged; the first reason is the family's own.

    `ordering`: what stands over the parts while nothing may be ordered.
    """

    indication: Indication
    retention: Retention
    making: Making
    verdict: Verdict
    reasons: tuple[Reason, ...]
    changes: tuple[str, ...] = ()
    sequence: tuple[str, ...] = ()
    parts: tuple[dict[str, Any], ...] = ()
    ordering: str = ""
    cautions: tuple[str, ...] = ()
    stack: Stacked | None = None
    collars: tuple[dict[str, Any], ...] = ()
    insertion: Insertion | None = None

    @property
    def way(self) -> tuple[Indication, Retention, Making]:
        """What makes it this option."""
        return self.indication, self.retention, self.making

    @property
    def deciding(self) -> Reason:
        """The first reason that allows no better than the verdict."""
        return next((r for r in self.reasons if r.at_best == self.verdict), self.reasons[0])

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "indication": self.indication,
            "retention": self.retention,
            "making": self.making,
            "verdict": self.verdict,
            "deciding": self.deciding.text,
            "reasons": [reason.to_json() for reason in self.reasons],
            "changes": list(self.changes),
            "sequence": list(self.sequence),
            "parts": list(self.parts),
            "ordering": self.ordering,
            "cautions": list(self.cautions),
            "space": self.stack.to_json() if self.stack else None,
            "collars": list(self.collars),
            "insertion": self.insertion.to_json() if self.insertion else None,
        }

    def because(self, reason: Reason, change: str = "") -> PlannedOption:
        """Add a reason that leaves the option no better than the reason's `at_best`."""
        verdict = max(self.verdict, reason.at_best, key=SEVERITY.__getitem__)
        changes = (*self.changes, change) if change else self.changes
        return replace(self, verdict=verdict, reasons=(*self.reasons, reason), changes=changes)


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
    rival: Plan | None = None

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        rival = {"rival": self.rival.to_json()} if self.rival else {}
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
        } | rival
