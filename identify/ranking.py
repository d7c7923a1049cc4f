"""The answer of the weighing: every hypothesis with its rows, and the verdict in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

NONE_OF_THESE = "none_of_these"
NOT_AN_IMPLANT = "not_an_implant"
NOT_CONFIRMED = "NOT CONFIRMED: DO NOT ORDER PARTS"
SHARED_SCALE = "shared_scale"


@dataclass(frozen=True, slots=True)
class Row:
    """What one item says about one hypothesis.

    Attributes
    ----------
    item : str
        Its key, or ``shared_scale`` for what the lengths' common scale error takes back.
    points : float
        10·log10 of the likelihood ratio against the broad expectation; 0 where it does not count.
    sentence : str
        The same in words.
    by : str
        Who said it: film, eye, mouth, bench, known; or "" for the shared scale.
    counted_with : str
        Key of the item that speaks for this one too, where items move together.
    """

    item: str
    points: float
    sentence: str
    by: str
    counted_with: str = ""

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        out: dict[str, Any] = {
            "item": self.item,
            "points": round(self.points, 2),
            "sentence": self.sentence,
            "by": self.by,
        }
        return out | ({"counted_with": self.counted_with} if self.counted_with else {})


@dataclass(frozen=True, slots=True)
class Support:
    """How far the evidence supports one hypothesis; `points` is the sum over `rows`."""

    key: str
    title: str
    probability: float
    points: float
    rows: tuple[Row, ...]
    verdict: str

    def to_json(self, *, rows: bool) -> dict[str, Any]:
        """As in the file contracts; `rows` only where the contract asks for them."""
        out: dict[str, Any] = {
            "family": self.key,
            "title": self.title,
            "probability": round(self.probability, 9),
            "points": round(self.points, 2),
            "verdict": self.verdict,
        }
        return out | ({"rows": [row.to_json() for row in self.rows]} if rows else {})


@dataclass(frozen=True, slots=True)
class Verdict:
    """The word is that of the leading family; the sentence says all of it."""

    word: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Silent:
    """Something that weighs 0, and why."""

    item: str
    label: str
    reason: str


@dataclass(frozen=True, slots=True)
class Ranking:
    """Every hypothesis weighed.

    Attributes
    ----------
    supports : tuple of Support
        Families and the two rivals, most probable first; probabilities sum to 1.
    groups : mapping of str to float
        Probability of each connection group; they sum to what the families have together.
    not_ranked_apart : tuple of str
        Families that a film alone cannot tell apart; their order among themselves says nothing.
    silent : tuple of Silent
        What weighed 0, with the reason.
    """

    supports: tuple[Support, ...]
    groups: Mapping[str, float]
    verdict: Verdict
    not_ranked_apart: tuple[str, ...] = ()
    silent: tuple[Silent, ...] = field(default=())

    def find(self, key: str) -> Support:
        """Return the support of one hypothesis."""
        return next(support for support in self.supports if support.key == key)

    @property
    def families(self) -> tuple[Support, ...]:
        """The supports without the two rivals, most probable first."""
        return tuple(
            support
            for support in self.supports
            if support.key not in (NONE_OF_THESE, NOT_AN_IMPLANT)
        )

    @property
    def none_of_these(self) -> float:
        """Probability that no family described here is the right one."""
        return self.find(NONE_OF_THESE).probability

    @property
    def not_an_implant(self) -> float:
        """Probability that this is not an implant at all."""
        return self.find(NOT_AN_IMPLANT).probability

    def to_json(self, *, rows: bool = True) -> dict[str, Any]:
        """As in the file contracts. A weighing never confirms, and says so."""
        rivals = [
            support.to_json(rows=True)
            for support in self.supports
            if support.key in (NONE_OF_THESE, NOT_AN_IMPLANT)
        ]
        return self._summary(rows=rows) | ({"rivals": rivals} if rows else {})

    def _summary(self, *, rows: bool) -> dict[str, Any]:
        return {
            "groups": {group: round(p, 9) for group, p in self.groups.items()},
            "ranking": [support.to_json(rows=rows) for support in self.families],
            "none_of_these": round(self.none_of_these, 9),
            "not_an_implant": round(self.not_an_implant, 9),
            "verdict": {"word": self.verdict.word, "sentence": self.verdict.sentence},
            "not_ranked_apart": list(self.not_ranked_apart),
            "not_weighed": [
                {"item": silent.item, "label": silent.label, "reason": silent.reason}
                for silent in self.silent
            ],
            "confirmed": "film_only",
            "caution": NOT_CONFIRMED,
        }
