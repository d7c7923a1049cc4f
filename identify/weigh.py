"""Weigh evidence against every hypothesis: points per item, probabilities, verdict.

Pure, and without a word about the subject: hypotheses, items and their facts come as data.
Items are taken as independent given the hypothesis, except that lengths of one film share the
error of its scale (integrated out jointly; what that changes is a row of its own) and that items
of one `together` group count once, by the one that parts the hypotheses most.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from identify import explain
from identify.checklist import Checklist, ChecklistItem
from identify.connection import group_probabilities, not_ranked_apart
from identify.evidence import (
    WIDTH,
    Evidence,
    Item,
    check_evidence,
    entry_of,
    find_item,
    item_std,
    silent_items,
    telling_items,
)
from identify.hypotheses import (
    answer_under,
    hypotheses_of,
    number_facts,
    priors,
    states_under,
)
from identify.lending import lent_points
from identify.likelihood import (
    Array,
    Shared,
    joint_points,
    number_terms,
    posterior,
    scale_nodes,
    width_nodes,
)
from identify.note import Family, NumberFact, StateFact
from identify.ranking import Ranking, Row, Silent, Support, Verdict
from identify.state_likelihood import state_points
from identify.trust import AS_STATED

if TYPE_CHECKING:
    from identify.knowledge import Notes

LOUDEST = 20.0  # points beyond which one hypothesis's misfit must not choose for all
WORTH_A_ROW = 0.005  # points; less is 0.00 in every table

__all__ = ["Ranking", "Row", "Support", "Verdict", "Weights", "find_weights", "weigh"]


@dataclass(frozen=True, slots=True)
class Weights:
    """Points as a table.

    Attributes
    ----------
    hypotheses, keys : tuple of str
        Columns and rows of the table, in a fixed order.
    points : (I, H) array
        Of each item alone.
    counted : (I, H) bool array
        False where another item of its group speaks for it, or where the hypothesis has no fact.
    shared : (H,) array
        Points that the common scale error adds to (mostly: takes from) the counted sum.
    """

    hypotheses: tuple[str, ...]
    keys: tuple[str, ...]
    points: Array
    counted: NDArray[np.bool_]
    shared: Array

    @property
    def totals(self) -> Array:
        """Points of each hypothesis, everything together (H,)."""
        return np.asarray((self.points * self.counted).sum(axis=0) + self.shared)


def weigh(
    evidence: Evidence, notes: Notes, *, shares: Mapping[str, float] | None = None
) -> Ranking:
    """Rank every family and the two rivals by what the evidence says.

    Parameters
    ----------
    shares : mapping of str to float, optional
        How often each family is met (`learning.family_shares`); all alike where left out.

    Raises
    ------
    BadInput
        An item is not in the checklist or does not fit it.
    """
    weights = find_weights(evidence, notes)
    chances = posterior(weights.totals, priors(weights.hypotheses, notes, shares))
    supports = [
        _support(index, float(chance), weights, evidence, notes)
        for index, chance in enumerate(chances)
    ]
    supports.sort(key=lambda support: (-support.probability, support.key))
    by_key = dict(zip(weights.hypotheses, chances.tolist(), strict=True))
    groups = group_probabilities(by_key, evidence, notes)
    alike = not_ranked_apart(evidence, notes)
    return Ranking(
        supports=tuple(supports),
        groups=groups,
        verdict=explain.verdict(supports, groups, notes, alike=alike),
        not_ranked_apart=alike,
        silent=_silent(evidence, notes.checklist),
    )


def find_weights(evidence: Evidence, notes: Notes) -> Weights:
    """Points of every item under every hypothesis, and what the shared scale changes."""
    check_evidence(evidence, notes.checklist)
    hypotheses = hypotheses_of(notes)
    items = telling_items(evidence, notes.checklist)
    entries = {key: entry_of(key, notes.checklist) for key in items}
    shared = _shared(evidence, notes, hypotheses)
    terms = {
        key: _length_terms(items[key], entries[key], key, hypotheses, shared)
        for key in items
        if items[key].shares_scale(entries[key])
    }
    points = [
        joint_points(*terms[key], shared)
        if key in terms
        else _lone_points(items[key], entries[key], hypotheses, notes)
        for key in items
    ]
    known = _known(items, entries, hypotheses)
    table = np.where(known, np.array(points).reshape(known.shape), 0.0)
    counted = _counted(tuple(entries.values()), table) & known
    joint = _joint_difference(tuple(items), terms, table, counted, shared)
    return Weights(tuple(hypotheses), tuple(items), table, counted, joint)


def _shared(evidence: Evidence, notes: Notes, hypotheses: Mapping[str, Family]) -> Shared:
    scale = evidence.scale
    if scale.kind != "none":
        return scale_nodes(scale.rel_std or 0.0, len(hypotheses), scale.axial_rel_std)
    width = notes.checklist.items[WIDTH]
    assert isinstance(width.broad, NumberFact)
    return width_nodes(width.broad, number_facts(width, hypotheses), scale.axial_rel_std)


def _length_terms(
    item: Item, entry: ChecklistItem, key: str, hypotheses: Mapping[str, Family], shared: Shared
) -> tuple[Array, Array]:
    assert item.value is not None
    assert isinstance(entry.broad, NumberFact)
    std = item_std(item, entry, ratio=key == entry.ratio)
    facts = number_facts(entry, hypotheses)
    factors = shared.of(along_axis=entry.along_axis)
    trust = entry.reader.trust if entry.reader and item.by == "film" else AS_STATED
    return number_terms(item.value, std, facts, entry.broad, factors, trust)


def _lone_points(
    item: Item, entry: ChecklistItem, hypotheses: Mapping[str, Family], notes: Notes
) -> Array:
    if item.lends:
        keys = tuple(hypotheses)
        return lent_points(item, entry, dict(zip(keys, priors(keys, notes), strict=True)))
    if isinstance(entry.broad, StateFact):
        table, base = states_under(entry, hypotheses)
        return state_points(table, base, answer_under(item, entry))
    alone = scale_nodes(0.0, len(hypotheses))
    return joint_points(*_length_terms(item, entry, entry.key, hypotheses, alone), alone)


def _known(
    items: Mapping[str, Item],
    entries: Mapping[str, ChecklistItem],
    hypotheses: Mapping[str, Family],
) -> NDArray[np.bool_]:
    known = [
        [bool(items[key].lends) or entry.key in family.facts for family in hypotheses.values()]
        for key, entry in entries.items()
    ]
    return np.array(known, dtype=bool).reshape(len(entries), len(hypotheses))


def _counted(entries: tuple[ChecklistItem, ...], table: Array) -> NDArray[np.bool_]:
    """Of each `together` group one item counts, the same for every hypothesis.

    The one whose points part the hypotheses most: were each hypothesis to choose its own, the
    one with the narrowest fact would win by never meeting the item that contradicts it.
    """
    counted = np.ones(table.shape, dtype=bool)
    spread = np.clip(table, -LOUDEST, LOUDEST).std(axis=1)
    for group in {entry.together for entry in entries if entry.together}:
        members = [index for index, entry in enumerate(entries) if entry.together == group]
        speaker = members[int(np.argmax(spread[members]))]
        counted[members] = False
        counted[speaker] = True
    return counted


def _joint_difference(
    keys: tuple[str, ...],
    terms: Mapping[str, tuple[Array, Array]],
    table: Array,
    counted: NDArray[np.bool_],
    shared: Shared,
) -> Array:
    rows = [index for index, key in enumerate(keys) if key in terms]
    if len(rows) < 2:
        return np.zeros(table.shape[1])
    mask = counted[rows].astype(float)
    fitted = np.einsum("ih,ihk->hk", mask, np.array([terms[keys[index]][0] for index in rows]))
    broadly = np.einsum("ih,ik->hk", mask, np.array([terms[keys[index]][1] for index in rows]))
    alone = (table[rows] * mask).sum(axis=0)
    return np.asarray(joint_points(fitted, broadly, shared) - alone)


def _support(
    index: int, chance: float, weights: Weights, evidence: Evidence, notes: Notes
) -> Support:
    key = weights.hypotheses[index]
    family = hypotheses_of(notes)[key]
    rows = _rows(index, family, weights, evidence, notes.checklist)
    return Support(
        key=key,
        title=family.title,
        probability=chance,
        points=float(weights.totals[index]),
        rows=rows,
        verdict=explain.support_word(chance, rows, notes.checklist),
    )


def _rows(
    index: int, family: Family, weights: Weights, evidence: Evidence, checklist: Checklist
) -> tuple[Row, ...]:
    rows = []
    for line, key in enumerate(weights.keys):
        entry = entry_of(key, checklist)
        speaker = key if weights.counted[line, index] else _speaker(line, index, weights, checklist)
        rows.append(
            explain.row(
                key,
                evidence,
                entry,
                family,
                points=float(weights.points[line, index]),
                speaker=entry_of(speaker, checklist),
            )
        )
    shared = float(weights.shared[index])
    return (*rows, explain.shared_row(shared)) if abs(shared) >= WORTH_A_ROW else tuple(rows)


def _speaker(line: int, index: int, weights: Weights, checklist: Checklist) -> str:
    """Return the key of the item that counts for this one: itself, or the loudest of its group."""
    own = weights.keys[line]
    group = entry_of(own, checklist).together
    if weights.counted[line, index] or not group:
        return own
    group_keys = [
        key
        for other, key in enumerate(weights.keys)
        if weights.counted[other, index] and entry_of(key, checklist).together == group
    ]
    return group_keys[0] if group_keys else own


def _silent(evidence: Evidence, checklist: Checklist) -> tuple[Silent, ...]:
    lines = []
    for key, reason in silent_items(evidence, checklist).items():
        entry = find_item(key, checklist)
        lines.append(Silent(key, entry.label if entry else key, reason))
    return tuple(lines)
