"""Facts of the case to be restored: typed on the screen, read off the film, put into one case."""

from __future__ import annotations

import streamlit as st

from features.reading import Reading
from identify import case_file
from identify.case_facts import INDEX, OTHERS, Known, other_teeth, planning_case
from identify.note import Family
from identify.screens import answers, on_table, session
from identify.screens.case import Case
from identify.screens.session import Judged, remembered
from identify.teeth import PERMANENT_TEETH
from identify.words import GROUPS

DATUMS = {"not stated": "not stated", "platform": "the platform", "mucosa": "the gum"}
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


def ask_stop_signs(case: Case) -> None:
    """Ask first whether it should be restored at all; every sign is there to be seen."""
    signs = session.notes().rules.stop_signs
    remembered(
        case,
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
            case,
            OTHERS,
            st.multiselect,
            "Other implants that belong to this plan (teeth)",
            PERMANENT_TEETH,
            placeholder="none",
        )
        others = other_teeth(case.facts, reading)
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
            case,
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
        case,
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
    remembered(case, name, st.number_input, label, least, most, None, step, placeholder=empty)


def case_of(
    case: Case, reading: Reading, judged: Judged, family: Family, rival: str | None = None
) -> case_file.Case:
    """Put together what is known of the case on the table (`planning_case`).

    Raises
    ------
    BadInput
        When the facts contradict each other.
    """
    others = [(name, read) for _, name, read in _shown_elsewhere(case, reading)]
    films = [(case.public_name, reading), *others]
    return planning_case(
        case.facts,
        family,
        films,
        evidence=judged.evidence,
        known=_known(case, reading, family),
        rival=rival,
    )


def _known(case: Case, reading: Reading, family: Family) -> dict[str, Known]:
    """What each implant of the plan is: on this film, and on others of this session.

    One that no film of this session shows is taken for the same family, and for unproven.
    """
    found: dict[str, Known] = dict.fromkeys(other_teeth(case.facts, reading), (family.key, None))
    for implant in reading.implants:
        found[implant.label] = _what_it_is(case, reading, implant.label)
    for other, _, read in _shown_elsewhere(case, reading):
        for implant in read.implants:
            if implant.tooth in found:
                found[implant.tooth] = _what_it_is(other, read, implant.label)
    return found


def _what_it_is(case: Case, reading: Reading, label: str) -> Known:
    judged = session.judge(case, reading, label)
    return session.recorded_family(case, judged), case.standing.get(label)


def _shown_elsewhere(case: Case, reading: Reading) -> list[tuple[Case, str, Reading]]:
    """Films worked on in this session that show further implants of the plan."""
    others, found = other_teeth(case.facts, reading), []
    for other in on_table.other_cases(case):
        marked = other.marks()
        if marked and any(mark.tooth in others for mark in marked.implants):
            read = session.read_case(other)
            found += [(other, other.public_name, read)] if read else []
    return found
