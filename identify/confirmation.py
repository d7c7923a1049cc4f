"""The ladder of confirmation: how far a case has come, and what would take it a rung up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, cast

from identify.evidence import Evidence, connection_seen, telling_items
from identify.ranking import NOT_CONFIRMED
from identify.rules import Rung

if TYPE_CHECKING:
    from identify.knowledge import Notes

Trial = Literal["not tried", "seated and filmed", "turns freely", "binds"]

REFUTED = "Marked as refuted: what this was taken for has been ruled out. Plan nothing on it."
LADDER: tuple[Rung, ...] = ("film_only", "connection_seen", "bench", "trial", "record")
# What an attempt with a trial part means; screws of M1.8 run freely in UNF 1-72 (derived: 1.80
# against 1.854 mm over the crests), so that running freely proves nothing.
TRIAL_WORDS: dict[Trial, str] = {
    "not tried": "No trial part has been tried.",
    "seated and filmed": "The trial part is seated, and a film shows no gap.",
    "turns freely": "That a screw turns freely proves nothing: a slightly smaller thread runs too.",
    "binds": "A part that binds refutes the family it belongs to: stop, and do not force it.",
}
NEXT: dict[Rung, str] = {
    "film_only": "Look at the connection from above, on the implant itself.",
    "connection_seen": "Measure an old part, a screw or an impression on the bench.",
    "bench": "Seat a trial part by hand, and film the joint if a film is due; or find the record.",
    "trial": "Find the record or the label for the file.",
    "record": "",
}


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a case stands.

    Attributes
    ----------
    rung : Rung
    caution : str
        NOT CONFIRMED … below *trial*; empty from there on.
    next_step : str
        What would take it higher; empty at the top.
    refuted : bool
        A part of the family under trial did not go in.
    remark : str
        What the trial means, in a sentence.
    """

    rung: Rung
    caution: str
    next_step: str
    refuted: bool
    remark: str


def confirmations(
    confirmed: Mapping[str, tuple[str, str]], facts: Mapping[str, Any], *, refuted: bool
) -> dict[str, tuple[str, str]]:
    """Return the confirmations that hold, by implant: rung and title of the family.

    A refuted case has none; nor has an implant on which a trial part bound, whatever a record
    says, nor one whose trial proved nothing.
    """
    return {
        label: pair
        for label, pair in confirmed.items()
        if all(pair) and not refuted and _holds(pair[0], attempt_on(label, facts))
    }


def attempt_on(label: str, facts: Mapping[str, Any]) -> Trial:
    """What came of a trial part on one implant."""
    told = facts.get(trial_place(label)) or "not tried"
    return cast("Trial", told if told in TRIAL_WORDS else "not tried")


def trial_place(label: str) -> str:
    """Under which name it is kept among the facts."""
    return f"trial {label}"


def trial_remark(label: str, facts: Mapping[str, Any]) -> str:
    """What must be said of a trial that did not succeed; else nothing."""
    attempt = attempt_on(label, facts)
    return TRIAL_WORDS[attempt] if attempt in ("binds", "turns freely") else ""


def _holds(rung: str, attempt: Trial) -> bool:
    return attempt != "binds" and not (rung == "trial" and attempt == "turns freely")


def standing(
    evidence: Evidence, notes: Notes, *, trial: Trial = "not tried", record: bool = False
) -> Standing:
    """Find the highest rung that is reached; a refuted trial never raises one."""
    rung = _rung(evidence, notes, trial=trial, record=record)
    refuted = trial == "binds"
    may_order = notes.rules.confirmation[rung].parts_may_be_ordered and not refuted
    return Standing(
        rung, "" if may_order else NOT_CONFIRMED, NEXT[rung], refuted, TRIAL_WORDS[trial]
    )


def _rung(evidence: Evidence, notes: Notes, *, trial: Trial, record: bool) -> Rung:
    if record:
        return "record"
    if trial == "seated and filmed":
        return "trial"
    telling = telling_items(evidence, notes.checklist)
    if any(item.by == "bench" for item in telling.values()):
        return "bench"
    return "connection_seen" if connection_seen(telling, notes.checklist) else "film_only"
