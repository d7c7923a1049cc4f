"""The plan as a screen: facts asked once, options with their reasons, one of them step by step."""

from __future__ import annotations

from typing import Any

import streamlit as st

from features.input_file import BadInput, check
from features.quantity import Measured
from features.reading import ImplantReading, Reading
from identify import case_file
from identify.note import Family
from identify.plan import SEVERITY, Plan, PlannedOption
from identify.ranking import NOT_CONFIRMED
from identify.restore import plan
from identify.screens import answers, look, session
from identify.screens.case import Case
from identify.screens.session import Judged, remembered

INDICATIONS = {
    "single": "Single crown",
    "splinted": "Joined crowns, bridge",
    "removable": "Overdenture",
}
RETENTIONS = {
    "cement": "Cemented",
    "screw": "Screw-retained",
    "ball": "Ball attachment",
    "low_profile_stud": "Low stud attachment",
    "bar": "Bar",
    "telescopic": "Telescopic copings",
    "magnet": "Magnet",
}
MAKINGS = {
    "stock": "stock part",
    "milled": "milled",
    "bonded_base": "on a bonded base",
    "cast_to": "cast to a machined base",
    "castable": "castable pattern",
}
VERDICTS = {
    "suits": "suits",
    "with_care": "with care",
    "does_not_suit": "does not suit",
    "cannot_judge": "cannot be judged yet",
}
DATUMS = {"not stated": "not stated", "platform": "the platform", "mucosa": "the gum"}
STEPLESS = "does_not_suit"
INDEX = "index"  # the checklist item on which a single crown hangs


def show(case: Case, reading: Reading, judged: Judged, family: Family) -> None:
    """Facts, then the options; a stop before planning ends it here."""
    _facts(case, reading)
    try:
        planned = plan(case_of(case, reading, judged, family), session.notes())
    except BadInput as error:
        st.warning(str(error))
        return
    if planned.stop:
        st.error(planned.stop)
    else:
        _options(planned)
    st.subheader("What can always be done instead", anchor=False)
    look.bullets(way.text for way in planned.other_ways)
    for note in planned.notes:
        look.quiet(note)


def case_of(case: Case, reading: Reading, judged: Judged, family: Family) -> case_file.Case:
    """Put together the case file: what was read, what was answered, what was typed here.

    Raises
    ------
    BadInput
        When the facts contradict each other.
    """
    typed = {k: v for k, v in case.facts.items() if k in case_file.Case.model_fields and v}
    index = judged.evidence.items.get(INDEX)
    data: dict[str, Any] = typed | {
        "family": family.key,
        "confirmed": case.confirmed.get(case.chosen, ("film_only", ""))[0],
        "implants": [_implant(case, implant) for implant in reading.implants],
    }
    if index and index.decided:
        data["index"] = index.state
    return check(case_file.Case, data, "this case")


def _implant(case: Case, implant: ImplantReading) -> dict[str, Any]:
    width = implant.measures.get("platform_width_mm")
    known = {
        "tooth": implant.tooth,
        "platform_width_mm": width.value if isinstance(width, Measured) else None,
        "tissue_depth_mm": case.facts.get(_depth(implant.label)),
    }
    return {"label": implant.label} | {k: v for k, v in known.items() if v is not None}


def _depth(label: str) -> str:
    return f"tissue_depth_mm {label}"


def _facts(case: Case, reading: Reading) -> None:
    signs = session.notes().rules.stop_signs
    with st.expander("Facts of this case (each may be left out)"):
        remembered(
            case.facts,
            "stop_signs",
            st.multiselect,
            "Is any of these so?",
            list(signs),
            format_func=lambda key: signs[key].question,
            placeholder="none known",
        )
        answers.ask(case, session.notes().checklist.items[INDEX], place="restore")
        columns = st.columns(3)
        with columns[0]:
            _number(case, "vertical_space_mm", "Vertical space, mm", 60.0)
        with columns[1]:
            options, words = list(DATUMS), DATUMS.__getitem__
            remembered(
                case.facts, "space_datum", st.selectbox, "Measured from", options, format_func=words
            )
        with columns[2]:
            _number(case, _depth(case.chosen), f"Gum depth over {case.chosen}, mm", 15.0)
        if len(reading.implants) > 1:
            _number(case, "divergence_measured_deg", "Divergence measured on a model, °", 90.0)


def _number(case: Case, name: str, label: str, most: float) -> None:
    remembered(
        case.facts, name, st.number_input, label, 0.0, most, None, 0.5, placeholder="not given"
    )


def _options(planned: Plan) -> None:
    there = [key for key in INDICATIONS if any(o.indication == key for o in planned.options)]
    if not there:
        st.info("No way of restoring is noted for this connection.")
        return
    for tab, key in zip(st.tabs([INDICATIONS[key] for key in there]), there, strict=True):
        options = [o for o in planned.options if o.indication == key]
        options.sort(key=lambda option: SEVERITY[option.verdict])
        with tab:
            look.table([_row(alike) for alike in grouped(options)], kind="options")
            _step_by_step([o for o in options if o.verdict != STEPLESS], key)


def grouped(options: list[PlannedOption]) -> list[list[PlannedOption]]:
    """Put ways together that share retention, verdict and reasons: one line says it for all."""
    groups: dict[Any, list[PlannedOption]] = {}
    for option in options:
        groups.setdefault((option.retention, option.verdict, option.reasons), []).append(option)
    return list(groups.values())


def _row(alike: list[PlannedOption]) -> tuple[str, str]:
    first = alike[0]
    makings = " · ".join(MAKINGS[option.making] for option in alike)
    reasons = " ".join(reason.text for reason in first.reasons)
    standings = ", ".join(dict.fromkeys(reason.standing for reason in first.reasons))
    name = f"{RETENTIONS[first.retention]}: {makings}"
    return f"{name}\n{reasons} ({standings})", VERDICTS[first.verdict]


def _name(option: PlannedOption) -> str:
    return f"{RETENTIONS[option.retention]}, {MAKINGS[option.making]}"


def _step_by_step(options: list[PlannedOption], key: str) -> None:
    if not options:
        return
    with st.expander("Step by step"):
        names = {_name(option): option for option in options}
        chosen = names[st.selectbox("Of", names, key=f"steps_{key}")]
        look.bullets(chosen.sequence, numbered=True)
        if chosen.parts:
            st.markdown("**Parts to find**")
            look.table([(part["kind"], part["state"]) for part in chosen.parts])
        cautions = [text for text in chosen.cautions if text != NOT_CONFIRMED]
        if cautions:
            st.markdown("**Cautions**")
            look.bullets(cautions)
        sources = [reason.source for reason in chosen.reasons if reason.source]
        for source in dict.fromkeys(sources):
            look.quiet(f"Source: {source}")
