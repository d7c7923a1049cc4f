"""What another implant of the case lends to this one: two placed together are often of one family.

Somebody has to say that they were; nothing is lent by itself. Pairs are of one family in a share
`s` of cases (the checklist's `alike`), else each is what it is without regard to the other, so

    P(family | the other) / P(family) = (1 - s) + s · P(the other is of it) / P(family)

whose smallest value, 1 - s, bounds what the other can take away.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from features.input_file import BadInput
from identify.evidence import Evidence, Item
from identify.likelihood import POINTS_PER_NEPER, Array
from identify.ranking import NOT_AN_IMPLANT, Ranking

if TYPE_CHECKING:
    from identify.checklist import ChecklistItem

PLACED_WITH = "placed_with"


def lent_points(item: Item, entry: ChecklistItem, prior: Mapping[str, float]) -> Array:
    """Points that the other implant gives each hypothesis, in the order of `prior`.

    What the item leaves open of the other is spread as before anything was seen. Whether this is
    an implant at all, the other does not say.

    Raises
    ------
    BadInput
        The item names a hypothesis there is not.
    """
    assert entry.alike is not None
    for key in item.lends:
        if key not in prior or key == NOT_AN_IMPLANT:
            raise BadInput(f"'{entry.key}': there is no family '{key}' in the notes; correct it.")
    some = {key: chance for key, chance in prior.items() if key != NOT_AN_IMPLANT}
    whole, open_share = sum(some.values()), max(1.0 - sum(item.lends.values()), 0.0)
    ratios = {
        key: item.lends.get(key, 0.0) / (chance / whole) + open_share
        for key, chance in some.items()
    }
    alike = entry.alike.value * item.probability
    factors = [1.0 - alike + alike * ratios.get(key, 1.0) for key in prior]
    return np.asarray(POINTS_PER_NEPER * np.log(factors))


def lends_of(ranking: Ranking) -> dict[str, float]:
    """Return what a ranking of the other implant lends: its families' shares, were it an implant.

    To be had from evidence `without_lent`, else what was lent comes back as a second voice.
    """
    some = {s.key: s.probability for s in ranking.supports if s.key != NOT_AN_IMPLANT}
    whole = sum(some.values())
    return {key: round(chance / whole, 6) for key, chance in some.items()}


def lent_to_claim(evidence: Evidence, family: str, claimed: str, *, beside: bool) -> Evidence:
    """Hand what is lent to `family` to the claim of it; halved where the family stands `beside`."""
    items = {
        key: item.model_copy(
            update={"lends": _shared_out(item.lends, family, claimed, beside=beside)}
        )
        if family in item.lends
        else item
        for key, item in evidence.items.items()
    }
    return evidence.model_copy(update={"items": items})


def _shared_out(
    lends: Mapping[str, float], family: str, claimed: str, *, beside: bool
) -> dict[str, float]:
    share = lends[family] / (2 if beside else 1)
    others = {key: other for key, other in lends.items() if key != family}
    return others | {claimed: share} | ({family: share} if beside else {})


def without_lent(evidence: Evidence) -> Evidence:
    """Leave out what another implant lends."""
    items = {key: item for key, item in evidence.items.items() if not item.lends}
    return evidence.model_copy(update={"items": items})
