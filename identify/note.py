"""What a note says, as frozen objects. How the files are written: reference_notes/FORMAT.md."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field, field_validator, model_validator

from features.input_file import StrictModel

Standing = Literal["source", "derived", "from memory", "common practice"]
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


class BadNote(ValueError):  # noqa: N818 - reads as what it is in a sentence
    """A note that cannot be used; the message names file, entry, key and the way out."""


class Standed(StrictModel):
    """Anything that must say where it comes from.

    Attributes
    ----------
    standing : str
        ``source``, ``derived``, ``from memory`` or ``common practice``.
    source : str
        Key of an entry in sources.toml; needed where `standing` is ``source``.
    note : str
        The formula where `standing` is ``derived``; elsewhere a remark.
    """

    standing: Standing
    source: str = ""
    note: str = ""

    @model_validator(mode="after")
    def _says_where_from(self) -> Standed:
        if (self.standing == "source") != bool(self.source):
            raise ValueError("'source' belongs with standing = \"source\", and only with it")
        if self.standing == "derived" and not self.note:
            raise ValueError("standing \"derived\" needs its formula in 'note'")
        return self


class NumberFact(Standed):
    """A range with soft shoulders: flat from `low` to `high`, Gaussian outside with std `edge`.

    All three in the item's unit; as a probability density it is normalised.
    """

    low: float
    high: float
    edge: float = Field(gt=0)

    @model_validator(mode="after")
    def _is_a_range(self) -> NumberFact:
        if self.low > self.high:
            raise ValueError("'low' is above 'high'; exchange them")
        return self


class StateFact(Standed):
    """The probability of each state, GIVEN that it can be assessed; they sum to 1."""

    probabilities: Mapping[str, float]

    @field_validator("probabilities")
    @classmethod
    def _is_a_distribution(cls, probabilities: Mapping[str, float]) -> Mapping[str, float]:
        return checked_distribution(probabilities)


Fact = NumberFact | StateFact


def checked_distribution(probabilities: Mapping[str, float]) -> Mapping[str, float]:
    """Refuse probabilities that do not sum to 1, or any that is 0 or 1 (nothing is that sure)."""
    for state, probability in probabilities.items():
        if not 0 < probability < 1:
            raise ValueError(
                f"the probability of '{state}' is {probability:g}; "
                "nothing is impossible or certain: use a number between 0 and 1"
            )
    total = sum(probabilities.values())
    if abs(total - 1) > 1e-6:
        raise ValueError(f"the probabilities sum to {total:g}; make them sum to 1")
    return probabilities


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

    @property
    def main_group(self) -> Group | None:
        """The likeliest connection group; None for a rival."""
        if not self.connection:
            return None
        return max(GROUPS, key=lambda group: self.connection[group])
