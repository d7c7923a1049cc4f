"""One fact of a note: a range or shares of states, and where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field, field_validator, model_validator

from features.input_file import StrictModel

Standing = Literal["source", "derived", "from memory", "common practice"]


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


class Setting(Standed):
    """One number and where it comes from; its unit ends the key's name."""

    value: float = Field(gt=0)


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
