"""What the casebook's confirmed cases say: how often families are met, and whether shares held."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from identify.casebook import Casebook, Saved
from identify.learning import Bin, family_shares, reliability


@dataclass(frozen=True, slots=True)
class Confirmed:
    """One implant confirmed by trial or record.

    Attributes
    ----------
    family : str
        Title of the family it was confirmed as.
    stated : mapping of str to float
        Family key to probability, as stated last before it was confirmed; empty if never weighed.
    """

    family: str
    stated: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Taught:
    """All of it: how often each title, and the reliability of what was stated before."""

    met: Mapping[str, int]
    bins: tuple[Bin, ...]
    shares: Mapping[str, float]

    @property
    def cases(self) -> int:
        """How many implants were confirmed."""
        return sum(self.met.values())


def confirmed_cases(book: Casebook, orderable: frozenset[str]) -> list[Confirmed]:
    """Every implant confirmed by a rung that lets parts be ordered; a refuted case is left out."""
    return [
        one
        for saved in book.find()
        if saved.case.status != "refuted"
        for one in _confirmed_in(book, saved, orderable)
    ]


def _confirmed_in(book: Casebook, saved: Saved, orderable: frozenset[str]) -> Iterator[Confirmed]:
    confirmed = saved.case.standing.items()
    orders = [(label, family) for label, (rung, family) in confirmed if rung in orderable]
    if not orders:  # most cases: their history need not be read
        return
    steps, rankings = book.steps_json(saved.key), book.rankings(saved.key)
    for label, family in orders:
        since = next(s["number"] for s in steps if _is_confirmed(s["state"], label, family))
        before = [r for r in rankings if r["label"] == label and r["step"] < since]
        yield Confirmed(family, _stated(before[-1]["ranking"]) if before else {})


def _is_confirmed(state: Mapping[str, Any], label: str, family: str) -> bool:
    works = state["films"] or filter(None, [state.get("unfilmed")])
    return any(work["confirmed"].get(label, ["", ""])[1] == family for work in works)


def _stated(ranking: Mapping[str, list[dict[str, float | str]]]) -> dict[str, float]:
    return {str(row["family"]): float(row["probability"]) for row in ranking["ranking"]}


def what_was_taught(cases: list[Confirmed], titles: Mapping[str, str]) -> Taught:
    """Count and judge; `titles` are the families' titles by key."""
    keys = {title: key for key, title in titles.items()}
    known = [case for case in cases if case.family in keys]
    weighed = [case for case in known if case.stated]
    truths = [keys[case.family] for case in known]
    bins = reliability([c.stated for c in weighed], [keys[c.family] for c in weighed])
    return Taught(Counter(c.family for c in cases), bins, family_shares(truths, list(titles)))
