"""What can be built on an implant: a family's note and the general rules, applied to one case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from features.input_file import BadInput
from features.quantity import NotMeasured
from identify.case_file import Case, CaseImplant, load_case
from identify.divergence import Divergence, find_divergence
from identify.knowledge import Notes
from identify.note import Family, Group, Option, Restoring, Standed, Verdict
from identify.plan import Plan, PlannedOption, Reason
from identify.rules import Limit, Rules, Space, When

__all__ = ["Case", "CaseImplant", "Plan", "PlannedOption", "Reason", "load_case", "plan"]


@dataclass(frozen=True, slots=True)
class _Site:
    """A case with what the notes say of it, resolved once."""

    case: Case
    notes: Notes
    family: Family
    restoring: Restoring
    group: Group
    options: tuple[Option, ...]
    index: Literal["present", "absent", "unknown", "not applicable"]
    divergence: Divergence

    @property
    def rules(self) -> Rules:
        return self.notes.rules

    @property
    def may_order(self) -> bool:
        return self.rules.confirmation[self.case.confirmed].parts_may_be_ordered


def plan(case: Case, notes: Notes) -> Plan:
    """Judge every way of restoring a case.

    Parameters
    ----------
    case : Case
    notes : Notes

    Returns
    -------
    Plan
        With no options where something stops the case before planning.

    Raises
    ------
    BadInput
        The family or a stop sign is not in the notes.
    """
    site = _resolve(case, notes)
    stop = _stop(site)
    not_confirmed = () if site.may_order else (site.rules.not_confirmed,)
    return Plan(
        family=site.family.key,
        title=site.family.title,
        group=site.group,
        confirmed=site.may_order,
        divergence=site.divergence,
        stop=stop,
        options=() if stop else tuple(_judge(option, site) for option in _candidates(site)),
        other_ways=site.rules.other_ways,
        checks=site.restoring.checks,
        cautions=(*not_confirmed, *site.restoring.cautions),
        notes=_notes(site),
    )


def _resolve(case: Case, notes: Notes) -> _Site:
    family = notes.families.get(case.family)
    if family is None or family.restoring is None or family.main_group is None:
        known = ", ".join(notes.families)
        raise BadInput(f"case: 'family': there is no family '{case.family}'; use one of {known}.")
    group = case.connection or family.main_group
    own = group == family.main_group
    index = case.index or (family.restoring.index if own else notes.rules.index_of_group[group])
    return _Site(
        case=case,
        notes=notes,
        family=family,
        restoring=family.restoring,
        group=group,
        options=family.restoring.options if own else notes.rules.groups[group],
        index="unknown" if index == "varies" else index,
        divergence=find_divergence(case, notes.rules),
    )


def _stop(site: _Site) -> str | None:
    signs = site.rules.stop_signs
    for key in site.case.stop_signs:
        if key not in signs:
            raise BadInput(f"case: 'stop_signs': '{key}' is not known; use {', '.join(signs)}.")
    reasons = [signs[key].answer for key in site.case.stop_signs]
    if site.restoring.stop:
        reasons.append(site.restoring.stop)
    return f"{site.rules.stopped} Reason: {'; '.join(reasons)}." if reasons else None


def _candidates(site: _Site) -> list[PlannedOption]:
    """Take one option for each way that exists, after the index has had its say."""
    wanted = [o for o in site.options if site.case.indication in (None, o.indication)]
    ways = dict.fromkeys((o.indication, o.retention, o.making) for o in wanted)
    return [
        _after_index([o for o in wanted if (o.indication, o.retention, o.making) == way], site)
        for way in ways
    ]


def _after_index(rows: Sequence[Option], site: _Site) -> PlannedOption:
    fitting = [row for row in rows if row.index in (None, site.index)]
    if site.index == "unknown" and rows[0].indication == "single" and _index_matters(site):
        return _undecided(rows[0], site.rules.index_unknown)
    if not fitting:
        return _undecided(rows[0], site.rules.index_contradicts)
    return _planned(fitting[0], fitting[0].verdict, _reason(fitting[0].reason, fitting[0], site))


def _index_matters(site: _Site) -> bool:
    return site.rules.index_of_group[site.group] != "not applicable"


def _undecided(option: Option, text: str) -> PlannedOption:
    return _planned(option, "cannot_judge", Reason(text, "common practice"))


def _planned(option: Option, verdict: Verdict, reason: Reason) -> PlannedOption:
    return PlannedOption(option.indication, option.retention, option.making, verdict, (reason,))


def _reason(text: str, fact: Standed, site: _Site) -> Reason:
    source = site.notes.sources[fact.source].reference if fact.source else None
    return Reason(text, fact.standing, source)


def _judge(option: PlannedOption, site: _Site) -> PlannedOption:
    """Hold an option against divergence and space, and add steps, parts and cautions."""
    option = _against_divergence(option, site)
    option = _against_space(option, site)
    if option.indication == "splinted" and len(site.case.implants) == 1:
        option = option.because(
            Reason("One implant is listed: joining needs a second one.", "common practice")
        )
    cautions = _texts(option, site, "cautions")
    not_confirmed = () if site.may_order else (site.rules.not_confirmed,)
    option = replace(option, cautions=(*not_confirmed, *cautions, *site.restoring.cautions))
    if option.verdict == "does_not_suit":
        return option
    return replace(option, sequence=_texts(option, site, "steps"), parts=_parts(option, site))


def _against_divergence(option: PlannedOption, site: _Site) -> PlannedOption:
    limits = [limit for limit in site.rules.limits if limit.retention == option.retention]
    if not limits or len(site.case.implants) < 2:
        return option
    limit, angle = limits[0], site.divergence.largest_deg
    allowed = (
        f"this attachment suits up to {limit.suits_up_to_deg:g}° in total, "
        f"and with care up to {limit.with_care_up_to_deg:g}°"
    )
    if isinstance(angle, NotMeasured):
        text = f"The divergence is not measured ({angle.reason}); {allowed}."
        return option.because(_reason(text, limit, site), "with_care")
    text = f"The implants diverge by {angle.value:.1f} ± {angle.std:.1f}°; {allowed}."
    if _verdict_at(angle.interval[1], limit) != _verdict_at(angle.value, limit):
        text += " It may lie beyond the limit: measure it on a model or a scan."
    return option.because(_reason(text, limit, site), _verdict_at(angle.value, limit))


def _verdict_at(angle_deg: float, limit: Limit) -> Verdict:
    if angle_deg <= limit.suits_up_to_deg:
        return "suits"
    return "with_care" if angle_deg <= limit.with_care_up_to_deg else "does_not_suit"


def _against_space(option: PlannedOption, site: _Site) -> PlannedOption:
    """Compare with the least space; where no datum is published the safer reading counts."""
    rows = [space for space in site.rules.spaces if _is_about(space, option)]
    space_mm, depth_mm = site.case.vertical_space_mm, site.case.tissue_depth_mm
    if not rows or space_mm is None:
        return option
    row = rows[0]
    if site.case.space_datum == "mucosa":
        safer_mm, other_mm = space_mm, space_mm + (depth_mm or 0)
    else:
        safer_mm, other_mm = space_mm - (depth_mm or 0), space_mm
    at_best, word = _space_verdict(safer_mm, other_mm, row.least_mm)
    text = (
        f"Vertical space is {word}: {safer_mm:.1f} mm against a published least of "
        f"{row.least_mm:g} mm (its datum: {row.datum}; tissue depth "
        f"{_tissue_words(site)})."
    )
    return option.because(_reason(text, row, site), at_best)


def _tissue_words(site: _Site) -> str:
    if site.case.tissue_depth_mm is None:
        return "not given"
    return "not in it" if site.case.space_datum == "mucosa" else "subtracted"


def _space_verdict(safer_mm: float, other_mm: float, least_mm: float) -> tuple[Verdict, str]:
    if safer_mm >= least_mm:
        return "suits", "enough"
    if other_mm >= least_mm:
        return "with_care", "enough by one reading only, too little by the safer"
    return "does_not_suit", "too little"


def _is_about(space: Space, option: PlannedOption) -> bool:
    return (
        option.indication in space.indication
        and option.retention in space.retention
        and (not space.making or option.making in space.making)
    )


def _texts(
    option: PlannedOption, site: _Site, table: Literal["steps", "cautions"]
) -> tuple[str, ...]:
    rows = site.rules.steps if table == "steps" else site.rules.cautions
    return tuple(row.text for row in rows if _fits(row.when, option, site))


def _fits(when: When, option: PlannedOption, site: _Site) -> bool:
    return when.fits(option.indication, option.retention, option.making, site.group)


def _parts(option: PlannedOption, site: _Site) -> tuple[dict[str, str], ...]:
    state = site.rules.supply[site.restoring.supply]
    kinds = [k for row in site.rules.parts if _fits(row.when, option, site) for k in row.kinds]
    thread = site.case.screw_thread
    return tuple(
        {"kind": kind, "state": state} | ({"thread": thread} if thread and "screw" in kind else {})
        for kind in kinds
    )


def _notes(site: _Site) -> tuple[str, ...]:
    """Say what overruled the note, and what was not judged for want of a fact."""
    case, notes = site.case, []
    if site.group != site.family.main_group:
        notes.append(
            f"The connection seen ({site.group}) overrides the one expected of this family "
            f"({site.family.main_group}); the options are those of the connection."
        )
    if case.vertical_space_mm is None:
        notes.append("The vertical space is not given: not judged.")
    elif case.space_datum == "not stated":
        notes.append("The vertical space has no datum: taken as measured from the platform.")
    if case.tissue_depth_mm is None:
        notes.append("The tissue depth is not given: margin and collar height are not judged.")
    return (*notes, *_index_notes(site))


def _index_notes(site: _Site) -> tuple[str, ...]:
    if not _index_matters(site):
        return (site.rules.index_contradicts,) if site.case.index == "present" else ()
    if site.index == "unknown":
        return (site.rules.index_unknown,)
    return () if site.case.index else (site.rules.index_not_seen,)
