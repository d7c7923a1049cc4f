"""Hold one option against the case: its facts, the angle, the path of insertion, space, parts."""

from __future__ import annotations

from dataclasses import replace

from features.quantity import Measured
from identify.case_site import Site
from identify.draw_path import Post
from identify.insertion import Insertion, find_insertion
from identify.note import Standed, Verdict
from identify.plan import PlannedOption, Reason
from identify.rules import Limit, Space
from identify.sequence import missing_parts
from identify.vertical_space import DATUMS, judge_space, stack_up
from identify.when import Facts
from identify.words import measured_text, quantity_text

MEASURE = "Measure the angle on a model or a scan."
PRACTICE = "common practice"


def judge(option: PlannedOption, site: Site) -> PlannedOption:
    """Add a reason for everything the case has to say on this option."""
    for hold in (_limits, _draw, _facts, _space, _layers, _supply):
        option = hold(option, site)
    facts = site.facts(option)
    general = (row.text for row in site.rules.changes if row.when.fits(facts))
    return replace(option, changes=tuple(dict.fromkeys((*option.changes, *general))))


def reason_of(text: str, fact: Standed, site: Site, at_best: Verdict) -> Reason:
    """Make a reason of a sentence and the fact it rests on."""
    source = site.notes.sources[fact.source].reference if fact.source else None
    return Reason(text, fact.standing, source, at_best)


def _facts(option: PlannedOption, site: Site) -> PlannedOption:
    facts = site.facts(option)
    for row in site.rules.judgements:
        if row.when.fits(facts):
            option = option.because(reason_of(row.text, row, site, row.at_best), row.change)
    return option


# ---- attachments: divergence in total, and each implant to the path of insertion -----------------


def _limits(option: PlannedOption, site: Site) -> PlannedOption:
    limits = [limit for limit in site.rules.limits if limit.retention == option.retention]
    if not limits or len(site.case.implants) < 2:
        return option
    angle = site.divergence.largest_deg
    if not angle:
        text = f"The divergence is not measured: {angle.reason}; {_allowed(limits[0])}."
        return option.because(reason_of(text, limits[0], site, "with_care"), MEASURE)
    path = find_insertion(_attachments(site), site.case, site.divergence)
    for limit in limits:
        option = _limit(option, limit, angle, path, site)
    return replace(option, insertion=path)


def _attachments(site: Site) -> tuple[Post, ...]:
    return tuple(Post(implant.label, 0.0, 0.0) for implant in site.case.implants)


def _limit(
    option: PlannedOption, limit: Limit, total: Measured, path: Insertion, site: Site
) -> PlannedOption:
    angle, what = total, "The implants diverge by"
    if limit.of == "each":
        if not path.leans_deg:
            return option
        label, angle = max(path.leans_deg.items(), key=lambda pair: pair[1].value)
        what = f"To the best common path {label} leans"
    text = f"{what} {measured_text(angle)}; {_allowed(limit)}."
    verdict = verdict_at(angle.value, limit)
    change = "" if verdict == "suits" else limit.change
    if verdict_at(angle.interval[1], limit) != verdict:
        text += " It may lie beyond the limit."
        change = f"{MEASURE} {change}".rstrip()
    return option.because(reason_of(text, limit, site, verdict), change)


def _allowed(limit: Limit) -> str:
    to = "in total" if limit.of == "total" else "each to the path of insertion"
    remark = f" ({limit.note})" if limit.note else ""
    return (
        f"this attachment suits up to {limit.suits_up_to_deg:g}° {to}, "
        f"and with care up to {limit.with_care_up_to_deg:g}°{remark}"
    )


def verdict_at(angle_deg: float, limit: Limit) -> Verdict:
    """Verdict on an angle in degrees."""
    if angle_deg <= limit.suits_up_to_deg:
        return "suits"
    return "with_care" if angle_deg <= limit.with_care_up_to_deg else "does_not_suit"


# ---- cemented splints: one path of insertion for all abutments -----------------------------------


def _draw(option: PlannedOption, site: Site) -> PlannedOption:
    if option.indication != "splinted" or option.retention != "cement":
        return option
    if len(site.case.implants) < 2:
        return option
    posts = _posts(option, site)
    if len(posts) < 2:
        text = "The abutments are designed to one path of insertion, so the splint draws."
        return option.because(Reason(text, PRACTICE))
    path = find_insertion(posts, site.case, site.divergence)
    reason, change = _path_reason(path, posts, site)
    return replace(option.because(reason, change), insertion=path)


def _posts(option: PlannedOption, site: Site) -> tuple[Post, ...]:
    """Return the abutments that stand as they are; the others are made to the path."""
    draw, groups = site.rules.draw, {label: j.group for j in site.joints for label in j.labels}
    posts = []
    for implant in site.case.implants:
        can = groups[implant.label] not in draw.never_designed and option.making in draw.designed
        if implant.abutment == "designed" or (implant.abutment is None and can):
            continue
        taper_deg = draw.taper_deg if implant.taper_deg is None else implant.taper_deg
        height_mm = implant.abutment_height_mm or draw.height_mm
        posts.append(Post(implant.label, taper_deg, height_mm, implant.abutment != "fixed"))
    return tuple(posts)


def _path_reason(path: Insertion, posts: tuple[Post, ...], site: Site) -> tuple[Reason, str]:
    rule = site.rules.draw
    redo = "Design the abutment of one implant to the path of the other; then nothing is cut."
    if path.impossible:
        text = "No path of insertion clears all abutments: those that stay as they are forbid it."
        return reason_of(text, rule, site, "does_not_suit"), redo
    if not path.beyond_deg:
        text = f"Whether one path of insertion clears all abutments: {path.beyond_deg.reason}."
        return reason_of(text, rule, site, "with_care"), MEASURE
    tapers = "/".join(f"{taper:g}" for taper in dict.fromkeys(post.taper_deg for post in posts))
    if path.exists:
        text = f"One path of insertion clears all abutments at {tapers}° of taper a wall."
        if not path.is_sure:
            text += " Within the uncertainty of the angle it may not: try it on the model."
        return reason_of(text, rule, site, "suits"), "" if path.is_sure else MEASURE
    text = f"At {tapers}° of taper a wall no path clears all abutments: {_cuts(path)}."
    if path.converging_deg > 2 * rule.widest_taper_deg:
        text += (
            f" The most cut then converges by {path.converging_deg:.0f}°, more than the "
            f"{2 * rule.widest_taper_deg:g}° to which crowns are prepared."
        )
        return reason_of(text, rule, site, "does_not_suit"), redo
    return reason_of(text, rule, site, "with_care"), redo


def _cuts(path: Insertion) -> str:
    cut = [(label, mm) for label, mm in path.cuts_mm.items() if mm.value > 0]
    each = (f"{label} {measured_text(mm)}" for label, mm in cut)
    return "at the top of one wall cut away " + ", ".join(each)


# ---- vertical space and supply -------------------------------------------------------------------


def _space(option: PlannedOption, site: Site) -> PlannedOption:
    if site.case.vertical_space_mm is None:
        return option
    facts = site.facts(option)
    for row in site.rules.spaces:
        if _is_about(row, option, facts):
            verdict, text = judge_space(row, site.case)
            change = "" if verdict == "suits" else row.change
            option = option.because(reason_of(text, row, site, verdict), change)
    return option


def _is_about(space: Space, option: PlannedOption, facts: Facts) -> bool:
    return (
        option.indication in space.indication
        and option.retention in space.retention
        and (not space.making or option.making in space.making)
        and (not space.implants or bool(facts.words["implants"].intersection(space.implants)))
    )


def _layers(option: PlannedOption, site: Site) -> PlannedOption:
    """Say where the layers, stacked up, need more than there is; what they are is no limit."""
    stack = stack_up(site.facts(option), site.case, site.rules)
    if stack is None or not stack.left_mm or stack.left_mm.value >= 0:
        return option
    text = (
        f"Stacked up layer by layer it needs {quantity_text(stack.needed_mm)} from "
        f"{DATUMS[stack.datum]}, {quantity_text(stack.short_mm)} more than there is."
    )
    return option.because(
        Reason(text, "derived", None, "with_care"), "More height, or lower parts."
    )


def _supply(option: PlannedOption, site: Site) -> PlannedOption:
    """Let the Shelf speak: what is no longer made cannot be planned on."""
    for kind, state in missing_parts(site.facts(option), site):
        gone = state == "discontinued"
        text = f"The Shelf says of the {kind}: {state}."
        change = f"Another way to get a {kind}; ask before anything is taken off."
        verdict: Verdict = "does_not_suit" if gone else "with_care"
        option = option.because(Reason(text, PRACTICE, None, verdict), change)
    return option
