"""Conditions of the restoring rules: data on both sides, no dental words in the matching."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from features.input_file import StrictModel
from identify.note import Group, Indication, Making, Retention

IndexSeen = Literal["present", "absent", "unknown", "not applicable"]
PartsEngage = Literal["yes", "no"]
Abutment = Literal["own_thread", "fixed", "designed"]
OldWork = Literal["nothing", "screwed", "cemented", "removable", "unknown"]
OldAbutment = Literal["none", "sound", "worn", "seized"]
Access = Literal["hidden", "shows"]
Contacts = Literal["both", "one", "none"]
Count = Literal["one", "two", "three", "four_or_more"]
YesNo = Literal["yes", "no"]


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of one option on one case: words by name, and numbers by name (mm, deg)."""

    words: Mapping[str, frozenset[str]] = field(default_factory=dict)
    numbers: Mapping[str, float] = field(default_factory=dict)


class When(StrictModel):
    """What must hold for a rule to speak; an entry left out means any.

    A list holds where one of its words is among the facts; what is not known holds nowhere. Lists
    that begin with `not_` hold where none of their words is.
    Numbers end in `_from` (that much or more) or `_below` (less).
    """

    indication: tuple[Indication, ...] = ()
    retention: tuple[Retention, ...] = ()
    making: tuple[Making, ...] = ()
    group: tuple[Group, ...] = ()
    index: tuple[IndexSeen, ...] = ()
    engage: tuple[PartsEngage, ...] = ()
    abutment: tuple[Abutment, ...] = ()
    not_abutment: tuple[Abutment, ...] = ()
    old_work: tuple[OldWork, ...] = ()
    old_abutment: tuple[OldAbutment, ...] = ()
    not_old_abutment: tuple[OldAbutment, ...] = ()
    access: tuple[Access, ...] = ()
    contacts: tuple[Contacts, ...] = ()
    implants: tuple[Count, ...] = ()
    mixed: tuple[YesNo, ...] = ()
    confirmed: tuple[YesNo, ...] = ()
    verdict: tuple[str, ...] = ()
    tissue_mm_from: float | None = None
    space_mm_below: float | None = None
    divergence_deg_from: float | None = None
    divergence_deg_below: float | None = None

    def fits(self, facts: Facts) -> bool:
        """Tell whether the rule speaks on these facts."""
        for name in self.model_fields_set:
            wanted = getattr(self, name)
            if isinstance(wanted, tuple):
                if not _holds(name, wanted, facts.words):
                    return False
            elif wanted is not None and not _reaches(name, wanted, facts.numbers):
                return False
        return True


def _holds(name: str, wanted: tuple[str, ...], words: Mapping[str, frozenset[str]]) -> bool:
    plain = name.removeprefix("not_")
    return bool(words.get(plain, frozenset()).intersection(wanted)) == (plain == name)


def _reaches(name: str, limit: float, numbers: Mapping[str, float]) -> bool:
    quantity, _, side = name.rpartition("_")
    if quantity not in numbers:
        return False
    return numbers[quantity] >= limit if side == "from" else numbers[quantity] < limit
