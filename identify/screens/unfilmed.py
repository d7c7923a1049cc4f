"""An implant that no film shows: what a person answered of it. Plain data, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, field

from identify.evidence import Item

LABEL = "A"


@dataclass(slots=True)
class Unfilmed:
    """Answers on one implant, kept for as long as the session lasts."""

    answers: dict[str, dict[str, Item]] = field(default_factory=lambda: {LABEL: {}})
    chosen: str = LABEL

    @property
    def given(self) -> dict[str, Item]:
        """The answers by item."""
        return self.answers[LABEL]

    def answer(self, label: str, key: str, item: Item | None) -> None:
        """Keep what a person saw, felt or knows; None takes it back."""
        self.answers[label].pop(key, None)
        if item is not None:
            self.answers[label][key] = item
