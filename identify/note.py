"""What a note says, as frozen objects. How the files are written: reference_notes/FORMAT.md."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field

from features.input_file import StrictModel
from identify.fact import (
    BadNote,
    Fact,
    NumberFact,
    Setting,
    Standed,
    Standing,
    StateFact,
    checked_distribution,
)

# what fact.py defines is part of a note, and is used from here
__all__ = [
    "BadNote",
    "Fact",
    "NumberFact",
    "Setting",
    "Standed",
    "Standing",
    "StateFact",
    "checked_distribution",
]

Group = Literal["external_index", "internal_index", "cone", "self_locking", "no_index", "one_piece"]
Indication = Literal["single", "splinted", "removable"]
Retention = Literal["cement", "screw", "ball", "low_profile_stud", "bar", "telescopic", "magnet"]
Making = Literal["stock", "milled", "bonded_base", "cast_to", "castable"]
Verdict = Literal["suits", "with_care", "does_not_suit", "cannot_judge"]
IndexState = Literal["present", "absent", "varies", "not applicable"]

GROUPS: tuple[Group, ...] = (
    "external_index",
    "internal_index",
    "cone",
    "self_locking",
    "no_index",
    "one_piece",
)


class Visible(Standed):
    """When an item can be seen on a film of this family at all; `share` of all rotations."""

    when: str = Field(min_length=10)
    share: float | None = Field(default=None, gt=0, lt=1)


class Source(StrictModel):
    """One entry of sources.toml: a public reference, and how much of it was read."""

    reference: str = Field(min_length=10)
    read: Literal["full", "abstract", "part"]
    url: str = ""


class LookAlike(StrictModel):
    """A family this one is mistaken for, and what separates the two.

    `inseparable`: ``never``; ``covered`` while something is seated on it; ``film`` on any film.
    """

    key: str
    separator: str = Field(min_length=5)
    inseparable: Literal["never", "covered", "film"] = "never"


class Option(Standed):
    """One way of restoring, judged. `index` limits it to that state of the index."""

    indication: Indication
    retention: Retention
    making: Making
    verdict: Verdict
    reason: str = Field(min_length=10)
    index: Literal["present", "absent"] | None = None


class Restoring(StrictModel):
    """What can be built on a family, and what to see to first."""

    index: IndexState
    supply: Literal["usual", "scarce", "none"]
    options: tuple[Option, ...]
    checks: tuple[str, ...] = Field(min_length=1)
    cautions: tuple[str, ...] = Field(min_length=1)
    stop: str = ""


class Family(StrictModel):
    """One family of implants, or a rival to all of them (no connection, nothing to restore)."""

    key: str
    title: str
    era: str
    body: str
    connection: Mapping[Group, float]
    facts: Mapping[str, Fact]
    lookalikes: tuple[LookAlike, ...]
    restoring: Restoring | None
    prose: Mapping[str, str]
    visible: Mapping[str, Visible] = Field(default_factory=dict)

    @property
    def main_group(self) -> Group | None:
        """The likeliest connection group; None for a rival."""
        if not self.connection:
            return None
        return max(GROUPS, key=lambda group: self.connection[group])
