"""Which observation would help most: expected information gain against effort and harm.

What a person can answer by looking, feeling or asking comes first; another exposure is offered
only to a caller who says that one is due anyway, and last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from identify.checklist import Checklist, ChecklistItem, Exposure, Inquiry
from identify.evidence import Evidence
from identify.hypotheses import hypotheses_of, number_facts, priors, states_under
from identify.likelihood import POINTS_PER_NEPER, Array, posterior, ranges_of, shares_of
from identify.note import NumberFact
from identify.ranking import Ranking
from identify.trust import FLOOR
from identify.weigh import Weights, find_weights

if TYPE_CHECKING:
    from identify.knowledge import Notes

LEAST_GAIN_BITS = 0.005  # below this an answer changes no figure a person would read
NUMBER_BINS = 12  # a number is asked as coarsely as people remember or measure it
COVER = "top_form"
COVERED = "covered"
# Taking off what is seated costs more than looking, and may do harm: common practice.
COVERED_EFFORT, COVERED_HARM = 1, 1
COVERED_WHY = "What is seated has to come off first, so do it when that is wanted anyway."


@dataclass(frozen=True, slots=True)
class Look:
    """One question worth asking: its expected gain in bits, and why it helps.

    `kind` is ``item`` (answered in the checklist), ``record`` or ``exposure``.
    """

    item: str
    question: str
    gain_bits: float
    why: str
    kind: str = "item"

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "item": self.item,
            "kind": self.kind,
            "question": self.question,
            "gain_bits": round(self.gain_bits, 3),
            "why": self.why,
        }


@dataclass(frozen=True, slots=True)
class _State:
    """What every gain is reckoned from."""

    weights: Weights
    prior: Array
    now: Array
    notes: Notes
    covered: bool


def next_looks(
    evidence: Evidence, notes: Notes, ranking: Ranking, *, film_due: bool = False
) -> tuple[Look, ...]:
    """Order the open questions by gain for each unit of effort and harm.

    The gain of an item is H(P) − Σ P(answer)·H(P | answer) over families and rivals, in bits; a
    record that settles the family gains what is unknown about it, as often as it is to be had.
    With `film_due`, what another film would show follows at the end.
    """
    weights = find_weights(evidence, notes)
    prior = priors(weights.hypotheses, notes)
    now = posterior(weights.totals, prior)
    state = _State(weights, prior, now, notes, _is_covered(evidence))
    ranked = [*_items(evidence, state, ranking), *_records(state)]
    ranked = [pair for pair in ranked if pair[1].gain_bits >= LEAST_GAIN_BITS]
    ranked.sort(key=lambda pair: (-pair[0], pair[1].item))
    films = _exposures(evidence, state) if film_due else ()
    return (*(look for _, look in ranked), *films)


def without_film(looks: Sequence[Look], checklist: Checklist) -> tuple[Look, ...]:
    """Leave out what is only to be seen on a film."""
    eye = {key for key, entry in checklist.items.items() if set(entry.asked_of) <= {"eye"}}
    return tuple(look for look in looks if look.item not in eye)


def _is_covered(evidence: Evidence) -> bool:
    """Whether something is seated: the film or a person says so."""
    item = evidence.items.get(COVER)
    return item is not None and item.state == COVERED


def _items(evidence: Evidence, state: _State, ranking: Ranking) -> Iterator[tuple[float, Look]]:
    for entry in state.notes.checklist.items.values():
        if _is_open(entry, evidence):
            table, base = _answers(entry, state)
            gain = _gain(entry, state, table, base)
            names = _parted(table, state.now, state.weights.hypotheses)
            look = _look(entry, gain, names, ranking)
            if state.covered and "mouth" in entry.asked_of:
                look = replace(look, why=f"{look.why} {COVERED_WHY}")
            yield gain / _cost(entry, covered=state.covered), look


def _records(state: _State) -> Iterator[tuple[float, Look]]:
    for inquiry in state.notes.checklist.inquiries:
        gain = inquiry.tells * _entropy(state.now)
        yield (
            gain / _cost(inquiry),
            Look(inquiry.key, inquiry.question, gain, inquiry.why, "record"),
        )


def _exposures(evidence: Evidence, state: _State) -> tuple[Look, ...]:
    """Return the films that would show something still open, the most telling first."""
    looks = []
    for number, exposure in enumerate(state.notes.checklist.exposures):
        open_items = [state.notes.checklist.items[key] for key in exposure.shows]
        gains = [
            _gain(entry, state, *_answers(entry, state))
            for entry in open_items
            if not _seen(entry, evidence)
        ]
        if max(gains, default=0.0) >= LEAST_GAIN_BITS:
            name = f"exposure_{number + 1}"
            looks.append(Look(name, exposure.question, max(gains), exposure.why, "exposure"))
    return tuple(sorted(looks, key=lambda look: (-look.gain_bits, look.item)))


def _seen(entry: ChecklistItem, evidence: Evidence) -> bool:
    item = evidence.items.get(entry.key)
    # a hole that was not seen may show from another side
    return item is not None and item.state not in (None, "absent")


def _cost(asked: ChecklistItem | Inquiry | Exposure, *, covered: bool = False) -> float:
    effort, harm = asked.effort, asked.harm
    if covered and isinstance(asked, ChecklistItem) and "mouth" in asked.asked_of:
        effort, harm = effort + COVERED_EFFORT, harm + COVERED_HARM
    return 1 + effort + 2 * harm


def _is_open(entry: ChecklistItem, evidence: Evidence) -> bool:
    if not entry.question or not entry.asked_of:
        return False
    top = evidence.items.get(COVER)
    if entry.only_covered and top is not None and top.decided and top.state != COVERED:
        return False
    answers = [evidence.items.get(entry.key)]
    if entry.key in evidence.set_aside:
        answers.append(evidence.set_aside[entry.key].item)
    # the film's "not assessable" leaves the question open; a person's "can't tell" closes it
    return not any(answer and (answer.decided or answer.by != "film") for answer in answers)


def _answers(entry: ChecklistItem, state: _State) -> tuple[Array, Array]:
    """Chance of every answer under each hypothesis (H, S), and broadly (S,)."""
    hypotheses = hypotheses_of(state.notes)
    if not isinstance(entry.broad, NumberFact):
        return states_under(entry, hypotheses)
    facts = number_facts(entry, hypotheses)
    edges = np.linspace(
        entry.broad.low - 3 * entry.broad.edge,
        entry.broad.high + 3 * entry.broad.edge,
        NUMBER_BINS + 1,
    )
    base = shares_of(edges, entry.broad)[0]
    known = np.array([fact is not None for fact in facts]).reshape(-1, 1)
    fitted = (1 - FLOOR) * shares_of(edges, ranges_of(facts, entry.broad)) + FLOOR * base
    return np.where(known, fitted, base), base


def _gain(entry: ChecklistItem, state: _State, table: Array, base: Array) -> float:
    answered = posterior(_totals_after(entry, state, table, base), state.prior)
    after = np.array([_entropy(row) for row in answered])
    return max(_entropy(state.now) - float((state.now @ table) @ after), 0.0)


def _totals_after(entry: ChecklistItem, state: _State, table: Array, base: Array) -> Array:
    """Points (S, H) after each answer; within a `together` group the louder item counts."""
    weights, items = state.weights, state.notes.checklist.items
    tiny = np.finfo(float).tiny
    fresh = POINTS_PER_NEPER * np.log(np.maximum(table, tiny) / np.maximum(base, tiny)).T
    group = [
        bool(entry.together) and key in items and items[key].together == entry.together
        for key in weights.keys
    ]
    if not any(group):
        return np.asarray(weights.totals + fresh)
    spoken = (weights.points * weights.counted)[np.array(group)].sum(axis=0)
    return np.asarray(weights.totals - spoken + np.where(abs(fresh) > abs(spoken), fresh, spoken))


def _entropy(chances: Array) -> float:
    some = chances[chances > 0]
    return float(-(some * np.log2(some)).sum())


def _parted(table: Array, now: Array, hypotheses: tuple[str, ...]) -> tuple[str, str]:
    """Return the leader, and the rival to it whose answers differ most, weighted by chance."""
    leader = int(np.argmax(now))
    differ = abs(table - table[leader]).sum(axis=1) * now
    return hypotheses[leader], hypotheses[int(np.argmax(differ))]


def _look(entry: ChecklistItem, gain: float, names: tuple[str, str], ranking: Ranking) -> Look:
    one, other = (ranking.find(name).title for name in names)
    apart = f"It would help to tell {one} from {other}." if names[0] != names[1] else entry.help
    return Look(entry.key, entry.question, gain, apart)
