"""Facts of the case to be restored: typed on the screen, read off the film, put into one case."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from features.reading import ImplantReading, Reading
from identify import case_file
from identify.case_facts import INDEX, OTHERS, InHand, Known, other_teeth, planning_case
from identify.note import Family
from identify.screens import answers, on_table, session
from identify.screens.as_kept import EitherCase
from identify.screens.case import Case
from identify.screens.session import Judged, remembered
from identify.screens.unfilmed import Unfilmed
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


def ask_stop_signs(case: EitherCase) -> None:
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


def ask_facts(case: EitherCase, implants: Sequence[ImplantReading]) -> None:
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
        others = other_teeth(case.facts, implants)
        for implant in implants:
            seen = bool(implant.tooth and implant.axis_deg)
            _implant_facts(case, implant.label, implant.tooth, seen=seen)
        for tooth in others:
            _implant_facts(case, tooth, tooth)
        if len(implants) + len(others) > 1:
            labels = ("Divergence measured on a model, °", NOT_GIVEN)
            _number(case, "divergence_measured_deg", labels, 0.0, 90.0)


def _space(case: EitherCase) -> None:
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


def _implant_facts(case: EitherCase, label: str, tooth: str | None, *, seen: bool = False) -> None:
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


def _choice(case: EitherCase, name: str, label: str, words: dict[str, str]) -> None:
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
    case: EitherCase,
    name: str,
    words: tuple[str, str],
    least: float,
    most: float,
    step: float = 0.5,
) -> None:
    label, empty = words
    remembered(case, name, st.number_input, label, least, most, None, step, placeholder=empty)


def in_hand(reading: Reading | None, judged: Judged) -> tuple[ImplantReading, ...]:
    """Return the implants of the case: all on its film; without one, the one that is judged."""
    return reading.implants if reading else (judged.implant,)


def case_of(
    case: EitherCase,
    reading: Reading | None,
    judged: Judged,
    family: Family,
    rival: str | None = None,
) -> case_file.Case:
    """Put together what is known of the case in hand (`planning_case`).

    Raises
    ------
    BadInput
        When the facts contradict each other.
    """
    implants = in_hand(reading, judged)
    others = [(name, read) for _, name, read in _shown_elsewhere(case, implants)]
    return planning_case(
        case.facts,
        family,
        InHand(implants, judged.evidence),
        [(case.public_name, reading), *others] if reading else others,
        known=_known(case, reading, judged, family),
        rival=rival,
    )


def _known(
    case: EitherCase, reading: Reading | None, judged: Judged, family: Family
) -> dict[str, Known]:
    """What each implant of the plan is: of this case, and on other films of this session.

    One that no film of this session shows is taken for the same family, and for unproven.
    """
    implants = in_hand(reading, judged)
    found: dict[str, Known] = dict.fromkeys(other_teeth(case.facts, implants), (family.key, None))
    for label, one in _judged_all(case, reading, judged):
        found[label] = _what_it_is(case, one)
    for other, _, read in _shown_elsewhere(case, implants):
        for implant in read.implants:
            if implant.tooth in found:
                found[implant.tooth] = _what_it_is(other, session.judge(other, read, implant.label))
    return found


def _judged_all(
    case: EitherCase, reading: Reading | None, judged: Judged
) -> list[tuple[str, Judged]]:
    if reading is None or isinstance(case, Unfilmed):
        return [(judged.implant.label, judged)]
    return [(i.label, session.judge(case, reading, i.label)) for i in reading.implants]


def _what_it_is(case: EitherCase, judged: Judged) -> Known:
    return session.recorded_family(case, judged), case.standing.get(judged.implant.label)


def _shown_elsewhere(
    case: EitherCase, implants: Sequence[ImplantReading]
) -> list[tuple[Case, str, Reading]]:
    """Films worked on in this session that show further implants of the plan."""
    others, found = other_teeth(case.facts, implants), []
    for other in on_table.other_cases(case):
        marked = other.marks()
        if marked and any(mark.tooth in others for mark in marked.implants):
            read = session.read_case(other)
            found += [(other, other.public_name, read)] if read else []
    return found
