"""Connection groups: what the families say of the connection together, and what a film cannot."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from identify.evidence import BY_HAND, Evidence, connection_seen, entry_of, telling_items
from identify.hypotheses import answer_under, states_under

if TYPE_CHECKING:
    from identify.knowledge import Notes

UNSEEN_KIND = "internal_index"  # its kinds look alike on a film; only the platform tells


def group_probabilities(
    chances: Mapping[str, float], evidence: Evidence, notes: Notes
) -> dict[str, float]:
    """P(group) = Σ P(family)·P(group | family); together what the families have together."""
    seen = _group_likelihoods(evidence, notes)
    groups: dict[str, float] = {}
    for key, family in sorted(notes.families.items()):
        shares = {group: share * seen[group] for group, share in family.connection.items()}
        for group, share in shares.items():
            part = chances[key] * share / sum(shares.values())
            groups[group] = groups.get(group, 0.0) + part
    return dict(sorted(groups.items(), key=lambda pair: (-pair[1], pair[0])))


def _group_likelihoods(evidence: Evidence, notes: Notes) -> dict[str, float]:
    """How well each group alone foretells what was seen of the connection, by hand or on the film.

    P(state | group) is the families' own, weighted by how far each belongs to the group, so that
    what was seen moves the shares within one family too.
    """
    families = dict(sorted(notes.families.items()))
    groups = sorted({group for family in families.values() for group in family.connection})
    seen: dict[str, float] = {str(group): 1.0 for group in groups}
    for key, item in telling_items(evidence, notes.checklist).items():
        entry = entry_of(key, notes.checklist)
        seen_there = item.by in BY_HAND or entry.connection_on_film
        if entry.is_number or not seen_there:
            continue
        said = answer_under(item, entry)
        likely = states_under(entry, families)[0] @ said
        for group in groups:
            weights = [family.connection.get(group, 0.0) for family in families.values()]
            seen[group] *= float(np.average(likely, weights=weights))
    return seen


def not_ranked_apart(evidence: Evidence, notes: Notes) -> tuple[str, ...]:
    """Return the families whose order says nothing before the platform itself was seen."""
    if connection_seen(telling_items(evidence, notes.checklist), notes.checklist):
        return ()
    families = sorted(notes.families.items())
    alike = tuple(key for key, family in families if family.main_group == UNSEEN_KIND)
    return alike if len(alike) > 1 else ()
