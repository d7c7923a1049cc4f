"""The facts of a case put together for planning: read off films, answered, and typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from features.input_file import BadInput, check
from features.quantity import Measured
from features.reading import ImplantReading, Reading
from identify import case_file
from identify.evidence import Evidence
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

Named = tuple[str, Reading]
Known = tuple[str, tuple[str, str] | None]


def planning_case(
    facts: Mapping[str, Any],
    family: Family,
    films: Sequence[Named],
    *,
    evidence: Evidence,
    known: Mapping[str, Known],
    rival: str | None = None,
) -> case_file.Case:
    """Put together the case file: what was read, what was answered, what was typed.

    Parameters
    ----------
    facts : mapping
        As kept with the film (`FilmWork.facts`).
    family : Family
        What is planned for.
    films : sequence of (name, Reading)
        The film in hand first; others give the lean of further implants of the plan.
    evidence : Evidence
        Of the implant in hand.
    known : mapping of str to (key of a family, confirmation or None)
        What each implant is, by label or, on other films, by tooth.
    rival : str, optional
        Key of a family planned beside it.

    Raises
    ------
    BadInput
        When the facts contradict each other.
    """
    reading = films[0][1]
    typed = {k: v for k, v in facts.items() if k in case_file.Case.model_fields and v}
    index = evidence.items.get(INDEX)
    others = other_teeth(facts, reading)
    others_known = {label: what for label, what in known.items() if label != evidence.label}
    data: dict[str, Any] = typed | {
        "family": family.key,
        "rival": rival,
        "confirmed": _confirmed(known.get(evidence.label), family),
        "implants": [
            one | _other(str(one["label"]), family, others_known)
            for one in (
                *(_implant(facts, implant) for implant in reading.implants),
                *({"label": tooth, "tooth": tooth} | _typed(facts, tooth) for tooth in others),
            )
        ],
        "films": _tilts_on(films, others),
        "parts": _on_the_shelf(family),
    }
    if index and index.decided:
        data["index"] = index.state
    return check(case_file.Case, data, "this case")


def other_teeth(facts: Mapping[str, Any], reading: Reading) -> list[str]:
    """Teeth of implants that belong to the plan and are not on the film in hand."""
    on_film = {implant.tooth for implant in reading.implants}
    return [tooth for tooth in facts.get(OTHERS) or () if tooth not in on_film]


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


def _implant(facts: Mapping[str, Any], implant: ImplantReading) -> dict[str, Any]:
    width = implant.measures.get("platform_width_mm")
    known = {
        "label": implant.label,
        "tooth": implant.tooth,
        "platform_width_mm": width.value if isinstance(width, Measured) else None,
    }
    return {k: v for k, v in known.items() if v is not None} | _typed(facts, implant.label)


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


def _tilts_on(films: Sequence[Named], others: Sequence[str]) -> list[dict[str, Any]]:
    """Take the tilts that films show: of the one in hand, and of others of the plan's teeth."""
    first = films[0][1]
    teeth = {implant.tooth for implant in first.implants if implant.tooth} | set(others)
    tilts = ({"name": name, "tilts": _tilts(reading, teeth)} for name, reading in films)
    return [film for film in tilts if film["tilts"]]


def _tilts(reading: Reading, teeth: set[str]) -> dict[str, dict[str, float]]:
    return {
        implant.tooth: tilt_shown(implant.axis_deg.value, implant.axis_deg.std, implant.tooth)
        for implant in reading.implants
        if implant.tooth in teeth and implant.tooth and isinstance(implant.axis_deg, Measured)
    }
