"""Facts of the case to be restored: typed on the screen, read off the film, put into one case."""

from __future__ import annotations

from typing import Any

import streamlit as st

from features.input_file import BadInput, check
from features.marks import FDI_TEETH
from features.quantity import Measured
from features.reading import ImplantReading, Reading
from identify import case_file
from identify.film_tilts import tilt_shown
from identify.note import Family
from identify.screens import answers, session
from identify.screens.case import Case
from identify.screens.session import Judged, remembered
from identify.shelf import parts_for
from identify.shelf_store import load_shelf
from identify.words import GROUPS

DATUMS = {"not stated": "not stated", "platform": "the platform", "mucosa": "the gum"}
INDEX = "index"  # the checklist item on which a single crown hangs
WORDS: dict[str, tuple[str, dict[str, str]]] = {
    "old_work": (
        "On it now",
        {
            "screwed": "screwed work",
            "cemented": "cemented work",
            "removable": "a denture",
            "nothing": "a cover or healing part",
        },
    ),
    "old_abutment": (
        "Intermediate abutment on it",
        {"none": "none", "sound": "sound", "worn": "worn", "seized": "seized"},
    ),
    "access": ("A screw hole would", {"hidden": "be hidden", "shows": "show"}),
    "contacts": (
        "Neighbours in contact",
        {"both": "on both sides", "one": "on one side", "none": "none"},
    ),
    "parts_engage_index": ("Parts that engage the index", {"yes": "yes", "no": "no"}),
}
ABUTMENTS = {
    "own_thread": "post with its own thread",
    "fixed": "stays, uncut",
    "designed": "made to the path",
}
NUMBERS = {
    "tissue_depth_mm": ("Gum depth, mm", 0.0, 15.0, 0.5),
    "tilt_mesiodistal_deg": ("Leans to mesial, °", -60.0, 60.0, 1.0),
    "tilt_buccolingual_deg": ("Leans to buccal, °", -60.0, 60.0, 1.0),
}
NOT_GIVEN = "not given"
OTHERS = "other teeth of the plan"


def ask_stop_signs(case: Case) -> None:
    """Ask first whether it should be restored at all; every sign is there to be seen."""
    signs = session.notes().rules.stop_signs
    remembered(
        case.facts,
        "stop_signs",
        st.pills,
        "First: should it be restored at all? Press what is so.",
        list(signs),
        selection_mode="multi",
        format_func=lambda key: signs[key].answer,
    )


def ask_facts(case: Case, reading: Reading) -> None:
    """Ask everything that bears on the plan; each may be left out."""
    with st.expander("Facts of this case (each may be left out)"):
        answers.ask(case, session.notes().checklist.items[INDEX], place="restore")
        _space(case)
        columns = st.columns(3)
        for number, (name, (label, words)) in enumerate(WORDS.items()):
            with columns[number % 3]:
                _choice(case, name, label, words)
        remembered(
            case.facts,
            OTHERS,
            st.multiselect,
            "Other implants that belong to this plan (teeth)",
            sorted(tooth for tooth in FDI_TEETH if tooth[0] in "1234"),
            placeholder="none",
        )
        others = _others(case, reading)
        for implant in reading.implants:
            seen = bool(implant.tooth and implant.axis_deg)
            _implant_facts(case, implant.label, implant.tooth, seen=seen)
        for tooth in others:
            _implant_facts(case, tooth, tooth)
        if len(reading.implants) + len(others) > 1:
            labels = ("Divergence measured on a model, °", NOT_GIVEN)
            _number(case, "divergence_measured_deg", labels, 0.0, 90.0)


def _space(case: Case) -> None:
    first, second = st.columns(2)
    with first:
        _number(case, "vertical_space_mm", ("Vertical space, mm", NOT_GIVEN), 0.0, 60.0)
    with second:
        remembered(
            case.facts,
            "space_datum",
            st.selectbox,
            "Measured from",
            list(DATUMS),
            format_func=DATUMS.__getitem__,
        )


def _implant_facts(case: Case, label: str, tooth: str | None, *, seen: bool = False) -> None:
    """Ask about one implant; `seen`: the film shows how far it leans to mesial."""
    name = f"Implant {label}" if label != tooth else "Implant"
    st.markdown(f"**{name}, tooth {tooth}**" if tooth else f"**{name}**")
    columns = st.columns(4)
    for column, (key, (title, least, most, step)) in zip(columns, NUMBERS.items(), strict=False):
        with column:
            empty = "off the film" if seen and key == "tilt_mesiodistal_deg" else NOT_GIVEN
            _number(case, f"{key} {label}", (title, empty), least, most, step)
    with columns[3]:
        _choice(case, f"abutment {label}", "Abutment", ABUTMENTS)
    if label == tooth:  # not on this film: it may be of another kind
        _choice(case, f"connection {label}", "Connection", dict(GROUPS))


def _choice(case: Case, name: str, label: str, words: dict[str, str]) -> None:
    remembered(
        case.facts,
        name,
        st.selectbox,
        label,
        list(words),
        None,
        format_func=words.__getitem__,
        placeholder=NOT_GIVEN,
    )


def _number(
    case: Case, name: str, words: tuple[str, str], least: float, most: float, step: float = 0.5
) -> None:
    label, empty = words
    remembered(case.facts, name, st.number_input, label, least, most, None, step, placeholder=empty)


# ---- the case, put together ----------------------------------------------------------------------


def case_of(
    case: Case, reading: Reading, judged: Judged, family: Family, rival: str | None = None
) -> case_file.Case:
    """Put together the case file: what was read, what was answered, what was typed here.

    Raises
    ------
    BadInput
        When the facts contradict each other.
    """
    typed = {k: v for k, v in case.facts.items() if k in case_file.Case.model_fields and v}
    index = judged.evidence.items.get(INDEX)
    others = _others(case, reading)
    data: dict[str, Any] = typed | {
        "family": family.key,
        "rival": rival,
        "confirmed": _confirmed(case, family),
        "implants": [_implant(case, implant) for implant in reading.implants]
        + [{"label": tooth, "tooth": tooth} | _typed(case, tooth) for tooth in others],
        "films": _films(case, reading, others),
        "parts": _on_the_shelf(family),
    }
    if index and index.decided:
        data["index"] = index.state
    return check(case_file.Case, data, "this case")


def _on_the_shelf(family: Family) -> list[dict[str, Any]]:
    """Rows of the practice's shelf for this family; a shelf that cannot be read says so itself."""
    try:
        shelf = load_shelf()
    except BadInput:
        return []
    return [part.plan_row() for part in parts_for(shelf, family.key)]


def _confirmed(case: Case, family: Family) -> str:
    """Return how far this very family is confirmed: another one's confirmation says nothing."""
    kind, title = case.standing.get(case.chosen, ("film_only", ""))
    return kind if title == family.title else "film_only"


def _others(case: Case, reading: Reading) -> list[str]:
    on_film = {implant.tooth for implant in reading.implants}
    return [tooth for tooth in case.facts.get(OTHERS) or () if tooth not in on_film]


def _implant(case: Case, implant: ImplantReading) -> dict[str, Any]:
    width = implant.measures.get("platform_width_mm")
    known = {
        "label": implant.label,
        "tooth": implant.tooth,
        "platform_width_mm": width.value if isinstance(width, Measured) else None,
    }
    return {k: v for k, v in known.items() if v is not None} | _typed(case, implant.label)


def _typed(case: Case, label: str) -> dict[str, Any]:
    names = (*NUMBERS, "abutment", "connection")
    typed = {name: case.facts.get(f"{name} {label}") for name in names}
    return {name: value for name, value in typed.items() if value is not None}


def _films(case: Case, reading: Reading, others: list[str]) -> list[dict[str, Any]]:
    """Take the tilts that films show: of this one, and of others worked on with a tooth in it."""
    teeth = {implant.tooth for implant in reading.implants if implant.tooth} | set(others)
    readings = [(case.public_name, reading)]
    for other in session.other_cases(case):
        marked = other.marks()
        if marked and any(mark.tooth in others for mark in marked.implants):
            read = session.read_case(other)
            readings += [(other.public_name, read)] if read else []
    films = ({"name": name, "tilts": _tilts(read, teeth)} for name, read in readings)
    return [film for film in films if film["tilts"]]


def _tilts(reading: Reading, teeth: set[str]) -> dict[str, dict[str, float]]:
    return {
        implant.tooth: tilt_shown(implant.axis_deg.value, implant.axis_deg.std, implant.tooth)
        for implant in reading.implants
        if implant.tooth in teeth and implant.tooth and isinstance(implant.axis_deg, Measured)
    }
