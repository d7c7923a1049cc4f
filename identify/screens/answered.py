"""What a person answered, by implant; and an implant that no film shows. Plain data, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, field

from identify.evidence import Item

LABEL = "A"


class Answered:
    """Has answers on its implants, and one of them chosen: a case with its film, or one without."""

    __slots__ = ()
    answers: dict[str, dict[str, Item]]
    chosen: str

    def answer(self, label: str, key: str, item: Item | None) -> None:
        """Keep what a person saw, felt or knows; None takes it back."""
        given = self.answers.setdefault(label, {})
        given.pop(key, None)
        if item is not None:
            given[key] = item


@dataclass(slots=True)
class Unfilmed(Answered):
    """Answers on one implant, kept for as long as the session lasts."""

    answers: dict[str, dict[str, Item]] = field(default_factory=lambda: {LABEL: {}})
    chosen: str = LABEL

    @property
    def given(self) -> dict[str, Item]:
        """The answers by item."""
        return self.answers[LABEL]
