"""What a person said of implants, and where it is kept. Plain data, no widgets."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from typing import Any

from identify.confirmation import confirmations
from identify.evidence import Item
from identify.kept_case import Photo

_SERIAL = itertools.count(1)


@dataclass(slots=True, kw_only=True)
class Answered:
    """What a case holds, with its film or without one, and how far it is confirmed.

    `slot` is where it is kept (`keeping.Slot`). `serial` is of this object alone, even where one
    case is opened twice. `key` names the case among those of the session.
    """

    answers: dict[str, dict[str, Item]] = field(default_factory=dict)
    facts: dict[str, Any] = field(default_factory=dict)
    confirmed: dict[str, tuple[str, str]] = field(default_factory=dict)
    chosen: str = "A"
    pseudonym: str = ""
    remarks: str = ""
    refuted: bool = False
    photos: tuple[Photo, ...] = ()
    slot: Any = None
    serial: int = field(default_factory=_SERIAL.__next__)
    key: str = ""

    def __post_init__(self) -> None:
        self.key = self.key or f"case {self.serial}"

    @property
    def standing(self) -> dict[str, tuple[str, str]]:
        """Confirmations that hold, by implant: see `confirmation.confirmations`."""
        return confirmations(self.confirmed, self.facts, refuted=self.refuted)

    def answer(self, label: str, key: str, item: Item | None) -> None:
        """Keep what a person saw, felt or knows; None takes it back."""
        given = self.answers.setdefault(label, {})
        given.pop(key, None)
        if item is not None:
            given[key] = item
