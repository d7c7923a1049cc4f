"""What can be built on an implant: a family's note and the general rules, applied to one case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from features.input_file import BadInput
from identify.case_file import Case, CaseImplant, load_case
from identify.case_parts import platforms_without_rows
from identify.case_site import Joint, Site, resolve
from identify.collar_choice import choose_collars
from identify.judging import judge, reason_of
from identify.knowledge import Notes
from identify.note import Option
from identify.plan import Plan, PlannedOption, Reason
from identify.sequence import cautions_of, parts_of_option, steps_of
from identify.vertical_space import stack_up
from identify.words import GROUPS

__all__ = ["Case", "CaseImplant", "Plan", "PlannedOption", "Reason", "load_case", "plan"]


def plan(case: Case, notes: Notes) -> Plan:
    """Judge every way of restoring a case.

    Parameters
    ----------
    case : Case
    notes : Notes

    Returns
    -------
    Plan
        With no options where something stops the case before planning. Where the case names a
        rival family, its plan hangs beside the first.

    Raises
    ------
    BadInput
        A family or a stop sign is not in the notes.
    """
    first = _plan(case, notes)
    if case.rival is None:
        return first
    # what was confirmed is the first: it says nothing for the rival
    rival = {"family": case.rival, "rival": None, "confirmed": "film_only"}
    other = case.model_copy(update=rival)
    try:
        return replace(first, rival=_plan(other, notes))
    except BadInput as error:
        raise BadInput(str(error).replace("'family'", "'rival'")) from None


def _plan(case: Case, notes: Notes) -> Plan:
    site = resolve(case, notes)
    stop = _stop(site)
    stamp = () if site.may_order else (site.rules.not_confirmed,)
    return Plan(
        family=site.family.key,
        title=site.family.title,
        group=site.own.group,
        confirmed=site.may_order,
        divergence=site.divergence,
        stop=stop,
        options=() if stop else tuple(_finished(o, site) for o in _candidates(site)),
        other_ways=site.rules.other_ways,
        checks=site.restoring.checks,
        cautions=(*stamp, *site.restoring.cautions),
        notes=_notes(site),
    )


def _stop(site: Site) -> str | None:
    signs = site.rules.stop_signs
    for key in site.case.stop_signs:
        if key not in signs:
            raise BadInput(f"case: 'stop_signs': '{key}' is not known; use {', '.join(signs)}.")
    reasons = [signs[key].answer for key in site.case.stop_signs]
    if site.restoring.stop:
        reasons.append(site.restoring.stop)
    return f"{site.rules.stopped} Reason: {'; '.join(reasons)}." if reasons else None


# ---- the ways that exist -------------------------------------------------------------------------


def _candidates(site: Site) -> list[PlannedOption]:
    """Take one option for each way; a way that joins implants must exist on all connections."""
    first, *others = (_ways(joint, site) for joint in site.joints)
    joined = [o for o in first if o.indication == "single" or _in_all(o, others)]
    return [
        _joined(option, site, others) if option.indication != "single" else option
        for option in joined
    ]


def _in_all(option: PlannedOption, others: Sequence[Sequence[PlannedOption]]) -> bool:
    return all(any(o.way == option.way for o in ways) for ways in others)


def _joined(
    option: PlannedOption, site: Site, others: Sequence[Sequence[PlannedOption]]
) -> PlannedOption:
    """Let every connection have its say; the worst counts."""
    for joint, ways in zip(site.joints[1:], others, strict=True):
        theirs = next(other for other in ways if other.way == option.way)
        head = f"On {', '.join(joint.labels)} ({GROUPS[joint.group]}): "
        for reason in theirs.reasons:
            text = head + reason.text[0].lower() + reason.text[1:]
            option = option.because(replace(reason, text=text))
    return option


def _ways(joint: Joint, site: Site) -> list[PlannedOption]:
    wanted = [o for o in joint.options if site.case.indication in (None, o.indication)]
    ways = dict.fromkeys((o.indication, o.retention, o.making) for o in wanted)
    return [
        _after_index(
            [o for o in wanted if (o.indication, o.retention, o.making) == way], joint, site
        )
        for way in ways
    ]


def _after_index(rows: Sequence[Option], joint: Joint, site: Site) -> PlannedOption:
    """Choose the row that fits the index; an unknown one leaves a single crown undecided."""
    fitting = [row for row in rows if row.index in (None, joint.index)]
    if joint.index == "unknown" and rows[0].indication == "single" and _index_matters(joint, site):
        return _undecided(rows[0], site.rules.index_unknown)
    if not fitting:
        return _undecided(rows[0], site.rules.index_contradicts)
    row = fitting[0]
    return _option(row, reason_of(row.reason, row, site, row.verdict))


def _index_matters(joint: Joint, site: Site) -> bool:
    return site.rules.index_of_group[joint.group] != "not applicable"


def _undecided(row: Option, text: str) -> PlannedOption:
    return _option(row, Reason(text, "common practice", None, "cannot_judge"))


def _option(row: Option, reason: Reason) -> PlannedOption:
    return PlannedOption(row.indication, row.retention, row.making, reason.at_best, (reason,))


def _finished(option: PlannedOption, site: Site) -> PlannedOption:
    """Judge an option, then add its steps and parts unless it does not suit."""
    option = judge(option, site)
    facts = site.facts(option)
    option = replace(option, cautions=cautions_of(facts, site))
    if option.verdict == "does_not_suit":
        return option
    return replace(
        option,
        sequence=steps_of(facts, site),
        parts=parts_of_option(facts, site),
        ordering=""
        if site.may_order_for(option.indication)
        else f"{site.rules.not_confirmed}: {site.rules.ask_only}",
        stack=stack_up(facts, site.case, site.rules),
        collars=choose_collars(facts, site.case, site.rules),
    )


# ---- what the plan rests on ----------------------------------------------------------------------


def _notes(site: Site) -> tuple[str, ...]:
    """Say what overruled the note, and what was not judged for want of a fact."""
    case, notes = site.case, []
    if site.own.group != site.family.main_group:
        notes.append(
            f"The connection seen ({site.own.group}) overrides the one expected of this family "
            f"({site.family.main_group}); the options are those of the connection."
        )
    notes += platforms_without_rows(case, site.rules)
    if case.vertical_space_mm is None:
        notes.append("The vertical space is not given: not judged.")
    elif case.space_datum == "not stated":
        notes.append("The vertical space has no datum: taken as measured from the platform.")
    if case.tissue_depth_mm is None:
        notes.append("The tissue depth is not given: margin and collar height are not judged.")
    return (*notes, *_index_notes(site))


def _index_notes(site: Site) -> tuple[str, ...]:
    if not _index_matters(site.own, site):
        return (site.rules.index_contradicts,) if site.case.index == "present" else ()
    if site.own.index == "unknown":
        return (site.rules.index_unknown,)
    return () if site.case.index else (site.rules.index_not_seen,)
