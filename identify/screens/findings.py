"""Findings: every number with where it was taken, and the checklist."""

from __future__ import annotations

import streamlit as st

from features.quantity import Measured, Quantity
from features.reading import ImplantReading, Reading
from identify.overlay import draw_overlay, trace_numbers
from identify.ranking import Row
from identify.screens import answers, look, placed_with, session
from identify.screens.case import Case
from identify.screens.session import Judged
from identify.words import (
    bare,
    label_of,
    looked_for,
    measure_order,
    points_text,
    quantity_text,
    sources_text,
    state_text,
    unmeasured,
    vent_text,
)

LEAD = "What was read on the film, where, and how sure. ± is the 95 % interval."
SPOKEN_FOR = "–"


def show() -> None:
    case, reading, judged = look.judged_page("Findings", LEAD)
    rows = {row.item: row for row in judged.ranking.families[0].rows}
    left, right = st.columns([5, 6], gap="medium")
    with left:
        st.image(draw_overlay(case.film, judged.implant, case.hull(case.chosen)), width="stretch")
        look.quiet("The numbers in the picture are those of the tables.")
    with right:
        _measures(judged.implant, rows)
        _states(judged.implant, rows)
        look.quiet(_what_points_mean(judged))
    _questions(case, reading, judged)
    _sources(judged.implant)
    _not_assessable(judged)
    look.next_button("See the families", "families")


def _what_points_mean(judged: Judged) -> str:
    best = judged.ranking.families[0].title
    return (
        f"Points are for the best fit so far, “{best}”. Ten points mean ten times the odds; "
        f"a minus speaks against it. {SPOKEN_FOR} another item already speaks for this one."
    )


def _label(key: str) -> str:
    return label_of(key, session.notes().checklist)


def _measures(implant: ImplantReading, rows: dict[str, Row]) -> None:
    numbers = trace_numbers(implant)
    measured = sorted((k for k, q in implant.measures.items() if q), key=measure_order)
    st.subheader("Measures", anchor=False)
    look.table(
        [_measure_row(k, implant.measures[k], numbers, rows) for k in measured],
        head=["", "Measure", "Value", "Points"],
        kind="measures points",
    )


def _measure_row(
    key: str, quantity: Quantity, numbers: dict[str, int], rows: dict[str, Row]
) -> list[str]:
    number = str(numbers.get(bare(key), ""))
    return [number, _label(key), quantity_text(quantity), _points(rows.get(key))]


def _points(row: Row | None) -> str:
    if row is None:
        return ""
    return SPOKEN_FOR if row.counted_with else points_text(row.points)


def _states(implant: ImplantReading, rows: dict[str, Row]) -> None:
    numbers, seen = trace_numbers(implant), looked_for(implant)
    told = {key: what for key, what in seen.items() if what.state != "not assessable"}
    st.subheader("Checklist", anchor=False)
    look.table(
        [
            [str(numbers.get(k, "")), _label(k), state_text(what), _points(rows.get(k))]
            for k, what in told.items()
        ]
        + [["", f"Hole {n}", vent_text(vent), ""] for n, vent in enumerate(implant.vents, 1)],
        head=["", "Item", "On the film, how sure", "Points"],
        kind="measures points",
    )


def _questions(case: Case, reading: Reading, judged: Judged) -> None:
    st.subheader("What you can add", anchor=False)
    look.quiet("Each answer is weighed at once, and counts before the film’s own reading.")
    seen = looked_for(judged.implant)
    for place, title in answers.ASKED_OF.items():
        entries = answers.questions(session.notes().checklist.items.values(), place)
        given = sum(entry.key in case.answers.get(case.chosen, {}) for entry in entries)
        # the count stands inside: a title that changes would shut what is being answered
        with st.expander(title):
            look.quiet(f"{given} of {len(entries)} answered.")
            for entry in entries:
                what = seen.get(entry.key)
                said = f"The film was read as: {state_text(what)}." if what else ""
                answers.ask(case, entry, place="findings", said=said)
            if place == "known":
                placed_with.ask_placed_with(case, reading)


def _sources(implant: ImplantReading) -> None:
    """Where every ± comes from: shares of its square."""
    told = {key: q for key, q in implant.measures.items() if isinstance(q, Measured) and q.parts}
    with st.expander("Where each ± comes from"):
        keys = sorted(told, key=measure_order)
        look.table([[f"{_label(key)}\n{sources_text(told[key])}"] for key in keys])


def _not_assessable(judged: Judged) -> None:
    missing = unmeasured(judged.implant)
    silent = {silent.item: silent.reason for silent in judged.ranking.silent}
    reasons = missing | silent
    if reasons:
        with st.expander(f"Not assessable, and why ({len(reasons)})"):
            look.table([[_label(key), reason] for key, reason in sorted(reasons.items())])


show()
