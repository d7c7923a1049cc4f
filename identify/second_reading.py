"""A claim weighed: somebody says which family (and size) it is, and the evidence answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from pydantic import Field

from features.input_file import BadInput, StrictModel
from identify.apart import Apart, tell_apart
from identify.evidence import Evidence, SetAside
from identify.hypotheses import priors
from identify.lending import lent_to_claim
from identify.likelihood import POINTS_PER_NEPER
from identify.note import Family, NumberFact
from identify.ranking import NOT_CONFIRMED, SHARED_SCALE, Ranking, Row
from identify.shelf import Size
from identify.size_facts import size_facts
from identify.weigh import weigh
from identify.words import percent

if TYPE_CHECKING:
    from identify.knowledge import Notes

Word = Literal["supported", "in doubt", "contradicted"]

SUPPORTED = 0.8  # the same probability as *well supported* in the ranking
TIE = 0.5  # points; odds of 1.12, less than any rounding of the notes' figures (a judgement)
SIZE_EDGE = 0.1  # mm; makers' sizes are rounded to a tenth, common practice
WORTH_A_LINE = 1.0  # points
MOST_LINES = 5
LOOKALIKE = 0.05  # a rival likelier than this could still be it
CLAIMED = "claimed"  # the claim's key among the hypotheses; no note may be called so
OTHER_SIZE = "The same family in another size"
FROM_THE_CLAIM = "it comes from the claim under test, so it weighs 0"


class Claim(StrictModel):
    """What is claimed.

    Attributes
    ----------
    family : str
    sizes : mapping of str to float
        Checklist keys of lengths, in mm: what the claimed implant measures.
    row : Size or None
        The row of the shelf that is claimed: everything it says is tested.
    assumed : tuple of str
        Items in the evidence that were taken from the claim itself.
    """

    family: str
    sizes: Mapping[str, float] = Field(default_factory=dict)
    row: Size | None = None
    assumed: tuple[str, ...] = ()

    @property
    def has_size(self) -> bool:
        """Whether more than a family is claimed."""
        return bool(self.sizes) or self.row is not None


@dataclass(frozen=True, slots=True)
class SecondReading:
    """The answer.

    Attributes
    ----------
    word : str
    odds : float
        How much likelier the evidence is if the claim holds than, on average, if anything else
        does.
    probability : float
        Of the claim, had it been as likely as all else together before anything was seen.
    share : float
        Of the claim among all families, none favoured beforehand: as the ranking has it.
    evidence_for, evidence_against : tuple of Row
        The heaviest items each way.
    lookalikes : tuple of (key, title, probability)
        What it could be instead.
    against_nearest : Apart or None
        The claim held against the likeliest of them.
    settle : str
        The one observation that would settle it.
    """

    claim: Claim
    title: str
    word: Word
    odds: float
    probability: float
    share: float
    evidence_for: tuple[Row, ...]
    evidence_against: tuple[Row, ...]
    lookalikes: tuple[tuple[str, str, float], ...]
    against_nearest: Apart | None
    settle: str

    @property
    def sentence(self) -> str:
        """All of it in one sentence."""
        times = self.odds if self.odds >= 1 else 1 / self.odds
        way = "likelier" if self.odds >= 1 else "less likely"
        fold = f"{times:.0f}" if times < 1000 else "more than 1000"
        return (
            f"{self.title}: {self.word}. What was seen is {fold} times {way} if the claim holds "
            f"than, on average, under all else it could be. Its share, with none favoured "
            f"beforehand, is {percent(self.share)}; {self._beside}."
        )

    @property
    def _beside(self) -> str:
        if not self.lookalikes:
            return "nothing else comes near"
        _, title, chance = self.lookalikes[0]
        than = "likelier is" if chance > self.share else "nearest is"
        return f"{than} {title[0].lower()}{title[1:]} with {percent(chance)}"

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts. A second reading never confirms, and says so."""
        return {
            "radiofixture": "second-reading/1",
            "claim": self.claim.model_dump(mode="json", exclude_none=True),
            "word": self.word,
            "sentence": self.sentence,
            "odds": float(f"{self.odds:.4g}"),
            "probability": round(self.probability, 6),
            "share": round(self.share, 6),
            "for": [row.to_json() for row in self.evidence_for],
            "against": [row.to_json() for row in self.evidence_against],
            "lookalikes": [
                {"family": key, "title": title, "probability": round(chance, 6)}
                for key, title, chance in self.lookalikes
            ],
            "apart": self.against_nearest.to_json() if self.against_nearest else None,
            "settle": self.settle,
            "caution": NOT_CONFIRMED,
        }


def second_reading(claim: Claim, evidence: Evidence, notes: Notes) -> SecondReading:
    """Weigh a claim against everything else it could be.

    With sizes, the claimed family in other sizes is one of the things it could be.

    Raises
    ------
    BadInput
        No such family, or a size that is no length of the checklist.
    """
    known = _with_claim(claim, notes)
    given = lent_to_claim(
        _without_assumed(evidence, claim), claim.family, CLAIMED, beside=claim.has_size
    )
    ranking = weigh(given, known)
    support = ranking.find(CLAIMED)
    odds = _odds(ranking, known)
    probability = odds / (1.0 + odds)
    nearest = _nearest(ranking)
    apart = tell_apart(CLAIMED, nearest, given, known, ranking) if nearest else None
    rows = [row for row in support.rows if row.item != SHARED_SCALE]
    least = min((row.points for row in rows), default=0.0)
    return SecondReading(
        claim,
        _title(claim, notes),
        _word(probability, least, notes, first=_is_first(ranking)),
        odds,
        probability,
        support.probability,
        _heaviest(rows, 1),
        _heaviest(rows, -1),
        _lookalikes(ranking, claim),
        apart,
        _settling(apart, notes),
    )


def claim_of_row(row: Size, length_mm: float | None = None, **more: Any) -> Claim:
    """Claim a row of the shelf, in one of its lengths where that is known."""
    if length_mm is not None:
        row = row.model_copy(update={"lengths_mm": (length_mm,)})
    return Claim(family=row.family, row=row, **more)


def _title(claim: Claim, notes: Notes) -> str:
    title = notes.families[claim.family].title
    return f"{claim.row.title} ({title[0].lower()}{title[1:]})" if claim.row else title


def _with_claim(claim: Claim, notes: Notes) -> Notes:
    """Put the claim among the families; without sizes it takes its family's place."""
    if claim.family not in notes.families:
        known = ", ".join(sorted(notes.families))
        raise BadInput(f"there is no family '{claim.family}' in the notes; use one of {known}.")
    family = notes.families[claim.family]
    claimed = family.model_copy(update={"key": CLAIMED, "facts": _narrowed(claim, family, notes)})
    others = {k: f for k, f in notes.families.items() if claim.has_size or k != claim.family}
    return notes.model_copy(update={"families": others | {CLAIMED: claimed}})


def _narrowed(claim: Claim, family: Family, notes: Notes) -> dict[str, Any]:
    facts = size_facts(claim.row, claim.family, notes) if claim.row else dict(family.facts)
    for key, size in claim.sizes.items():
        entry = notes.checklist.items.get(key)
        if entry is None or not isinstance(entry.broad, NumberFact):
            raise BadInput(f"claim: '{key}' is no number of the checklist; see FORMAT.md.")
        facts[key] = entry.broad.model_copy(update={"low": size, "high": size, "edge": SIZE_EDGE})
    return facts


def _without_assumed(evidence: Evidence, claim: Claim) -> Evidence:
    items, aside = dict(evidence.items), dict(evidence.set_aside)
    for key in claim.assumed:
        if key in items:
            aside[key] = SetAside(reason=FROM_THE_CLAIM, item=items.pop(key))
    return evidence.model_copy(update={"items": items, "set_aside": aside})


def _odds(ranking: Ranking, notes: Notes) -> float:
    """Likelihood of the evidence under the claim, over its mean under all else."""
    keys = tuple(support.key for support in ranking.supports)
    prior = priors(keys, notes)
    likelihoods = np.array([support.points for support in ranking.supports]) / POINTS_PER_NEPER
    logs = likelihoods - likelihoods.max()
    other = np.array([key != CLAIMED for key in keys])
    elsewhere = float(prior[other] @ np.exp(logs[other]) / prior[other].sum())
    here = float(np.exp(logs[~other][0]))
    tiny = float(np.finfo(float).tiny)
    return max(here, tiny) / max(elsewhere, tiny)


def _is_first(ranking: Ranking) -> bool:
    """Whether nothing is likelier than the claim; look-alikes that tie with it are not."""
    most = max(support.points for support in ranking.supports)
    return ranking.find(CLAIMED).points >= most - TIE


def _word(probability: float, least_points: float, notes: Notes, *, first: bool) -> Word:
    checklist = notes.checklist
    if checklist.word(probability, least_points) == checklist.contradicted_word:
        return "contradicted"
    return "supported" if first and probability >= SUPPORTED else "in doubt"


def _heaviest(rows: list[Row], way: int) -> tuple[Row, ...]:
    some = [row for row in rows if way * row.points >= WORTH_A_LINE]
    return tuple(sorted(some, key=lambda row: (-abs(row.points), row.item))[:MOST_LINES])


def _nearest(ranking: Ranking) -> str:
    return next((s.key for s in ranking.supports if s.key != CLAIMED), "")


def _lookalikes(ranking: Ranking, claim: Claim) -> tuple[tuple[str, str, float], ...]:
    others = [s for s in ranking.supports if s.key != CLAIMED and s.probability >= LOOKALIKE]
    return tuple(
        (s.key, OTHER_SIZE if s.key == claim.family else s.title, s.probability) for s in others
    )


def _settling(apart: Apart | None, notes: Notes) -> str:
    """Return the open question that would part the two most; else, whom to ask."""
    if apart and apart.missing:
        return apart.missing[0]
    inquiries = notes.checklist.inquiries
    return max(inquiries, key=lambda asked: asked.tells).question if inquiries else ""
