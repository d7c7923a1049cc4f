"""An implant that no film shows, with everything a user said of it. Plain data, no widgets."""

from __future__ import annotations

from dataclasses import dataclass

from identify.evidence import Item
from identify.kept_case import NO_FILM
from identify.screens.answered import Answered


@dataclass(slots=True, kw_only=True)
class Unfilmed(Answered):
    """A case of one implant; `tooth` is its FDI number, where given."""

    tooth: str = ""

    @property
    def labels(self) -> list[str]:
        """Its one label."""
        return [self.chosen]

    @property
    def public_name(self) -> str:
        """What stands where others have a film's name."""
        return NO_FILM

    @property
    def given(self) -> dict[str, Item]:
        """The answers by item."""
        return self.answers.get(self.chosen, {})
