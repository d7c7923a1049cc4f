"""The facts of a case put together for planning: read off films, answered, and typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from features.input_file import BadInput, check
from features.quantity import Measured
from features.reading import ImplantReading, Reading
from identify import case_file
from identify.evidence import Evidence, by_hand
from identify.film_tilts import tilt_shown
from identify.note import Family
from identify.shelf import parts_for
from identify.shelf_store import load_shelf

INDEX = "index"  # the checklist item on which a single crown hangs
OTHERS = "other teeth of the plan"
OF_AN_IMPLANT = (
    *("tissue_depth_mm", "tilt_mesiodistal_deg", "tilt_buccolingual_deg"),
    *("abutment", "connection"),
)

PLATFORM = "platform_width_mm"

Named = tuple[str, Reading]
Known = tuple[str, tuple[str, str] | None]


@dataclass(frozen=True, slots=True)
class InHand:
    """The implants of the case in hand, and the evidence on the one that is planned for."""

    implants: Sequence[ImplantReading]
    evidence: Evidence


def planning_case(
    facts: Mapping[str, Any],
    family: Family,
    hand: InHand,
    films: Sequence[Named],
    *,
    known: Mapping[str, Known],
    rival: str | None = None,
) -> case_file.Case:
    """Put together the case file: what was read, what was answered, what was typed.

    Parameters
    ----------
    facts : mapping
        As kept with the case (`ImplantWork.facts`).
    family : Family
        What is planned for.
    hand : InHand
    films : sequence of (name, Reading)
        The film in hand, where there is one; others give the lean of further implants of the plan.
    known : mapping of str to (key of a family, confirmation or None)
        What each implant is, by label or, on other films, by tooth.
    rival : str, optional
        Key of a family planned beside it.

    Raises
    ------
    BadInput
        When the facts contradict each other.
    """
    evidence = hand.evidence
    typed = {k: v for k, v in facts.items() if k in case_file.Case.model_fields and v}
    index = evidence.items.get(INDEX)
    others = other_teeth(facts, hand.implants)
    others_known = {label: what for label, what in known.items() if label != evidence.label}
    data: dict[str, Any] = typed | {
        "family": family.key,
        "rival": rival,
        "confirmed": _confirmed(known.get(evidence.label), family),
        "implants": [
            one | _other(str(one["label"]), family, others_known)
            for one in (
                *(_implant(facts, implant, evidence) for implant in hand.implants),
                *({"label": tooth, "tooth": tooth} | _typed(facts, tooth) for tooth in others),
            )
        ],
        "films": _tilts_on(films, {*others, *(one.tooth for one in hand.implants)}),
        "parts": _on_the_shelf(family),
    }
    if index and index.decided:
        data["index"] = index.state
    return check(case_file.Case, data, "this case")


def other_teeth(facts: Mapping[str, Any], implants: Sequence[ImplantReading]) -> list[str]:
    """Teeth of implants that belong to the plan and are none of those in hand."""
    in_hand = {implant.tooth for implant in implants}
    return [tooth for tooth in facts.get(OTHERS) or () if tooth not in in_hand]


def _on_the_shelf(family: Family) -> list[dict[str, Any]]:
    """Rows of the practice's shelf for this family; a shelf that cannot be read says so itself."""
    try:
        shelf = load_shelf()
    except BadInput:
        return []
    return [part.plan_row() for part in parts_for(shelf, family.key)]


def _confirmed(known: Known | None, family: Family) -> str:
    """Return how far this very family is confirmed: another one's confirmation says nothing."""
    kind, title = (known and known[1]) or ("film_only", "")
    return kind if title == family.title else "film_only"


def _implant(
    facts: Mapping[str, Any], implant: ImplantReading, evidence: Evidence
) -> dict[str, Any]:
    known = {
        "label": implant.label,
        "tooth": implant.tooth,
        PLATFORM: _platform_mm(implant, evidence),
    }
    return {k: v for k, v in known.items() if v is not None} | _typed(facts, implant.label)


def _platform_mm(implant: ImplantReading, evidence: Evidence) -> float | None:
    """Return the width of the platform: measured by hand, else on the film."""
    if evidence.label == implant.label and (item := by_hand(evidence, PLATFORM)):
        return item.value
    width = implant.measures.get(PLATFORM)
    return width.value if isinstance(width, Measured) else None


def _other(label: str, family: Family, known: Mapping[str, Known]) -> dict[str, Any]:
    """Say what another implant is, where that is another family, and whether that is proven."""
    if label not in known:
        return {}
    key, confirmed = known[label]
    proven = {"confirmed": confirmed[0] if confirmed else "film_only"}
    return proven | ({"family": key} if key != family.key else {})


def family_place(label: str) -> str:
    """Under which name the family that is looked at is kept among the facts."""
    return f"family {label}"


def way_chosen(facts: Mapping[str, Any], label: str, family: str) -> str:
    """Return the way chosen for an implant, were it this family; empty where none was."""
    return str(facts.get(way_place(label, family)) or "")


def way_place(label: str, family: str) -> str:
    """Under which name the way chosen is kept among the facts."""
    return f"way {label} {family}"


def _typed(facts: Mapping[str, Any], label: str) -> dict[str, Any]:
    typed = {name: facts.get(f"{name} {label}") for name in OF_AN_IMPLANT}
    return {name: value for name, value in typed.items() if value is not None}


def _tilts_on(films: Sequence[Named], teeth: set[str | None]) -> list[dict[str, Any]]:
    """Take the tilts that films show of the plan's teeth."""
    tilts = ({"name": name, "tilts": _tilts(reading, teeth)} for name, reading in films)
    return [film for film in tilts if film["tilts"]]


def _tilts(reading: Reading, teeth: set[str | None]) -> dict[str, dict[str, float]]:
    return {
        implant.tooth: tilt_shown(implant.axis_deg.value, implant.axis_deg.std, implant.tooth)
        for implant in reading.implants
        if implant.tooth in teeth and implant.tooth and isinstance(implant.axis_deg, Measured)
    }
