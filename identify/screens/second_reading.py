"""Second reading: somebody says what it is, and what was seen agrees or does not."""

from __future__ import annotations

import streamlit as st

from features.input_file import BadInput
from features.reading import ImplantReading, Reading
from identify.combining import combine, numbers_that_differ
from identify.evidence import Evidence
from identify.ranking import Row
from identify.screens import look, on_table, session
from identify.screens.case import Case
from identify.screens.claim_row import claim_from_shelf
from identify.screens.session import Judged, remembered, remembered_in
from identify.second_reading import Claim, SecondReading, second_reading
from identify.words import label_of, percent, points_text

LEAD = "Somebody says which implant it is. Does what was seen agree, and what else could it be?"
SIZES = {"platform_width_mm": "Platform", "coronal_width_mm": "Body", "length_mm": "Length"}
ALONE = "this film alone"


def show() -> None:
    case, _, judged = look.judged_page("Second reading", LEAD)
    claim = claim_from_shelf(case) or _claim(case, judged)
    if claim is None:
        look.quiet("Choose the family that is claimed; sizes are tested too where they are given.")
        return
    evidence = _with_other_film(case, judged)
    reading = second_reading(claim, evidence, session.notes())
    _answer(reading)
    _reasons(reading)
    _instead(reading)
    _set_aside(evidence)


def _claim(case: Case, judged: Judged) -> Claim | None:
    titles = {s.title: s.key for s in sorted(judged.ranking.families, key=lambda s: s.title)}
    name = f"claimed family {case.chosen}"
    title = remembered(
        case, name, st.selectbox, "Claimed family", titles, None, placeholder="which?"
    )
    columns = st.columns(len(SIZES))
    sizes = {}
    for column, (key, label) in zip(columns, SIZES.items(), strict=True):
        with column:
            size = remembered(
                case,
                f"claimed {key} {case.chosen}",
                st.number_input,
                f"{label}, mm",
                min_value=0.5,
                max_value=60.0,
                value=None,
                step=0.1,
                format="%.1f",
            )
        if size is not None:
            sizes[key] = size
    return Claim(family=titles[title], sizes=sizes) if title else None


def _with_other_film(case: Case, judged: Judged) -> Evidence:
    """Add a second film of the same implant, where one was opened and is chosen."""
    names = {key: name for key, name in on_table.films().items() if key != case.key}
    place = f"second film {case.chosen}"
    if case.views.get(place) not in names:  # let go of since
        case.views.pop(place, None)
    chosen = remembered_in(
        case.views,
        f"{case.serial} {place}",
        place,
        st.selectbox,
        "Another film of the same implant",
        list(names),
        None,
        format_func=names.__getitem__,
        placeholder=ALONE,
    )
    if chosen is None:
        return judged.evidence
    try:
        other = on_table.case_called(chosen)
        reading, label = _implant_on(other, names[chosen])
    except BadInput as error:
        st.warning(str(error))
        return judged.evidence
    evidence = session.evidence_of(other, reading, label)
    combined = combine([judged.evidence, evidence], session.notes())
    _doubt(judged.implant, next(i for i in reading.implants if i.label == label), combined)
    return combined


def _implant_on(other: Case, name: str) -> tuple[Reading, str]:
    reading = session.read_case(other)
    if reading is None:
        raise BadInput(f"No implant is marked on {name}; mark it there first.")
    labels = [implant.label for implant in reading.implants]
    if len(labels) == 1:
        return reading, labels[0]
    asked = "Which implant on that film"
    scope, name = f"{other.serial} second", "taken as second"
    return reading, remembered_in(other.views, scope, name, st.selectbox, asked, labels)


def _doubt(here: ImplantReading, there: ImplantReading, combined: Evidence) -> None:
    """Say what speaks against the two films showing one implant."""
    reasons = []
    if here.tooth and there.tooth and here.tooth != there.tooth:
        reasons.append(f"tooth {here.tooth} here, {there.tooth} there")
    checklist = session.notes().checklist
    differ = numbers_that_differ(combined).items()
    reasons += [f"{label_of(key, checklist).lower()}, {reason}" for key, reason in differ]
    if reasons:
        st.warning(f"These may be two implants: {'; '.join(reasons)}.")


def _answer(reading: SecondReading) -> None:
    kind = {"supported": "good", "in doubt": "open", "contradicted": "bad"}[reading.word]
    st.html(
        f'<div class="rf-second rf-{kind}" role="status"><strong>'
        f"{look.escape(reading.word.capitalize())}</strong>"
        f"<p>{look.escape(reading.sentence)}</p></div>"
    )
    if reading.settle:
        st.subheader("What would settle it", anchor=False)
        look.bullets([reading.settle])


def _reasons(reading: SecondReading) -> None:
    for title, rows in (
        ("Speaks for it", reading.evidence_for),
        ("Speaks against it", reading.evidence_against),
    ):
        st.subheader(title, anchor=False)
        if rows:
            look.table([_line(row) for row in rows], head=["Reason", "Points"], kind="points")
        else:
            look.quiet("Nothing worth a word.")


def _line(row: Row) -> list[str]:
    return [row.sentence, points_text(row.points)]


def _instead(reading: SecondReading) -> None:
    st.subheader("What else it could be", anchor=False)
    if not reading.lookalikes:
        look.quiet("Nothing else comes near.")
        return
    rows = [[title, percent(chance)] for _, title, chance in reading.lookalikes]
    look.table(rows, head=["Family", "Share"], kind="points")
    apart = reading.against_nearest
    for said in (apart.separator, apart.limit) if apart else ():
        if said:
            look.quiet(said)


def _set_aside(evidence: Evidence) -> None:
    if evidence.set_aside:
        with st.expander("What weighs 0 here, and why"):
            labels = session.notes().checklist.items
            look.table(
                [
                    [labels[key].label if key in labels else key, aside.reason]
                    for key, aside in evidence.set_aside.items()
                ]
            )


show()
