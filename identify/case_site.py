"""A case with what the notes say of it, resolved once: connections, index, angles, facts."""

from __future__ import annotations

from dataclasses import dataclass

from features.input_file import BadInput
from identify.case_file import Case, CaseImplant
from identify.divergence import Divergence, find_divergence
from identify.knowledge import Notes
from identify.note import Family, Group, Option, Restoring
from identify.plan import PlannedOption
from identify.rules import Rules
from identify.when import Facts, IndexSeen

COUNTS = ("", "one", "two", "three")


@dataclass(frozen=True, slots=True)
class Joint:
    """One kind of connection in the case, the implants that have it, and its options."""

    labels: tuple[str, ...]
    group: Group
    index: IndexSeen
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class Site:
    """The case, its family, and its connections; the first is the case's own."""

    case: Case
    notes: Notes
    family: Family
    restoring: Restoring
    joints: tuple[Joint, ...]
    divergence: Divergence

    @property
    def rules(self) -> Rules:
        """The general rules."""
        return self.notes.rules

    @property
    def own(self) -> Joint:
        """The connection the case is about."""
        return self.joints[0]

    @property
    def may_order(self) -> bool:
        """Whether the case is confirmed far enough for parts to be ordered."""
        return self.rules.confirmation[self.case.confirmed].parts_may_be_ordered

    def may_order_for(self, indication: str) -> bool:
        """Whether parts of a way may be ordered: what joins implants needs all of them proven."""
        rungs = [one.confirmed for one in self.case.implants if one.confirmed]
        orderable = self.rules.confirmation
        others = all(orderable[rung].parts_may_be_ordered for rung in rungs)
        return self.may_order and (indication == "single" or others)

    def joints_of(self, option: PlannedOption) -> tuple[Joint, ...]:
        """Connections an option has to do with: a single crown stands on the case's own."""
        return self.joints[:1] if option.indication == "single" else self.joints

    def facts(self, option: PlannedOption) -> Facts:
        """Gather what the conditions of the rules may ask for."""
        case, joints = self.case, self.joints_of(option)
        count = len(case.implants)
        words: dict[str, set[str | None]] = {
            "indication": {option.indication},
            "retention": {option.retention},
            "making": {option.making},
            "verdict": {option.verdict},
            "group": {joint.group for joint in joints},
            "index": {joint.index for joint in joints},
            "engage": {case.parts_engage_index},
            "abutment": {implant.abutment for implant in case.implants},
            "old_work": {case.old_work or "unknown"},
            "old_abutment": {case.old_abutment},
            "access": {case.access},
            "contacts": {case.contacts},
            "implants": {COUNTS[count] if count < len(COUNTS) else "four_or_more"},
            "mixed": {"yes" if len(self.joints) > 1 else "no"},
            "confirmed": {"yes" if self.may_order_for(option.indication) else "no"},
        }
        known = {name: frozenset(w for w in some if w) for name, some in words.items()}
        return Facts(known, self._numbers())

    def _numbers(self) -> dict[str, float]:
        angle = self.divergence.largest_deg
        numbers = {
            "tissue_mm": self.case.tissue_depth_mm,
            "space_mm": self.case.vertical_space_mm,
            "divergence_deg": angle.value if angle else None,
        }
        return {name: number for name, number in numbers.items() if number is not None}


def resolve(case: Case, notes: Notes) -> Site:
    """Look up families and connections of a case.

    Raises
    ------
    BadInput
        A family is not in the notes, or an index is present where the connection has none.
    """
    family, restoring = _family(case.family, notes, "family")
    group = case.connection or family.main_group
    assert group is not None  # a family that can be restored has one
    own = _joint(family, restoring, group, case.index, notes)
    others: dict[tuple[object, ...], Joint] = {}
    mine = []
    for implant in case.implants:
        joint = _joint_of(implant, own, case, notes)
        if (joint.group, joint.index) == (own.group, own.index):
            mine.append(implant.label)
            continue
        key = (joint.group, joint.index)
        known = others.get(key, joint)
        labels = (*(known.labels if key in others else ()), implant.label)
        others[key] = Joint(labels, known.group, known.index, known.options)
    first = Joint(tuple(mine), own.group, own.index, own.options)
    joints = (first, *others.values())
    return Site(case, notes, family, restoring, joints, find_divergence(case, notes.rules))


def _family(key: str, notes: Notes, entry: str) -> tuple[Family, Restoring]:
    family = notes.families.get(key)
    if family is None or family.restoring is None or family.main_group is None:
        known = ", ".join(notes.families)
        raise BadInput(f"case: '{entry}': there is no family '{key}'; use one of {known}.")
    return family, family.restoring


def _joint_of(implant: CaseImplant, own: Joint, case: Case, notes: Notes) -> Joint:
    if implant.family is None and implant.connection is None and implant.index is None:
        return own
    family, restoring = _family(implant.family or case.family, notes, "implants.family")
    group = implant.connection or (None if implant.family else case.connection)
    index = implant.index or (None if implant.family or implant.connection else case.index)
    return _joint(family, restoring, group or _main(family), index, notes)


def _main(family: Family) -> Group:
    assert family.main_group is not None  # checked where the family was looked up
    return family.main_group


def _joint(
    family: Family, restoring: Restoring, group: Group, index: str | None, notes: Notes
) -> Joint:
    is_own = group == family.main_group
    expected = restoring.index if is_own else notes.rules.index_of_group[group]
    seen: IndexSeen = "unknown" if (index or expected) == "varies" else index or expected  # type: ignore[assignment]
    return Joint((), group, seen, restoring.options if is_own else notes.rules.groups[group])
