"""What a browser session works out of a case: its reading and its weighing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from features.film import INVERTED
from features.marks import Marks
from features.radiograph import Radiograph
from features.reading import ImplantReading, Reading, read_film
from identify.case_facts import family_place
from identify.evidence import Evidence
from identify.gathering import gather, gather_answers, unread
from identify.knowledge import Notes, load_notes
from identify.next_look import Look, next_looks, without_film
from identify.overlay import display_grey, encode
from identify.ranking import Ranking
from identify.screens import keeping
from identify.screens.answered import Answered
from identify.screens.case import Case
from identify.screens.unfilmed import Unfilmed
from identify.sheets import family_of
from identify.weigh import weigh


@dataclass(frozen=True, slots=True)
class Judged:
    """One implant, read and weighed."""

    implant: ImplantReading
    evidence: Evidence
    ranking: Ranking
    looks: tuple[Look, ...]


@st.cache_resource(show_spinner=False)
def notes() -> Notes:
    """Return the reference notes, read once."""
    return load_notes()


def confirming() -> dict[str, str]:
    """Return what confirms a family so that parts may be ordered, with its words."""
    rungs = notes().rules.confirmation.items()
    return {str(key): rung.label for key, rung in rungs if rung.parts_may_be_ordered}


def film_key(film: Radiograph) -> str:
    """Name a film's pixels: its file, and whether it was turned from negative to positive."""
    return f"{film.sha256} {INVERTED in film.notes}"


BY_FILM: dict[str | type, Callable[[Any], Any]] = {
    Radiograph: film_key,
    Marks: Marks.model_dump_json,
}


@st.cache_resource(max_entries=64, show_spinner="Measuring the film …", hash_funcs=BY_FILM)
def _read(film: Radiograph, marks: Marks) -> Reading:
    return read_film(film, marks)


@st.cache_resource(max_entries=8, show_spinner=False, hash_funcs=BY_FILM)
def display_png(film: Radiograph) -> bytes:
    """Return the film as the browser shows it."""
    return encode(display_grey(film.pixels))


@st.cache_resource(
    max_entries=128, show_spinner=False, hash_funcs={Evidence: Evidence.model_dump_json}
)
def _weigh(evidence: Evidence) -> tuple[Ranking, tuple[Look, ...]]:
    ranking = weigh(evidence, notes())
    return ranking, tuple(next_looks(evidence, notes(), ranking))


def read_case(case: Case) -> Reading | None:
    """Read all implants in place; None while there is none.

    Raises
    ------
    BadInput
        When the marks contradict each other.
    """
    marks = case.marks()
    return _read(case.film, marks) if marks else None


def judge(case: Case, reading: Reading, label: str = "") -> Judged:
    """Weigh an implant, the chosen one where none is named, with everything the user answered."""
    label = label or case.chosen
    implant = next(i for i in reading.implants if i.label == label)
    evidence = evidence_of(case, reading, label)
    ranking, looks = _weigh(evidence)
    keeping.note_ranking(case, label, ranking)
    return Judged(implant, evidence, ranking, looks)


def judge_unfilmed(case: Unfilmed) -> Judged | None:
    """Weigh what was said of an implant that no film shows; None while that is nothing."""
    evidence = gather_answers(case.chosen, case.given, notes().checklist)
    if not evidence.items:
        return None
    ranking, looks = _weigh(evidence)
    keeping.note_ranking(case, case.chosen, ranking)
    open_looks = without_film(looks, notes().checklist)
    return Judged(unread(case.chosen, case.tooth), evidence, ranking, open_looks)


def evidence_of(case: Case, reading: Reading, label: str) -> Evidence:
    """Put together what the film gives of an implant and what the user answered."""
    return gather(reading, label, case.answers.get(label, {}), notes().checklist)


def family_in_view(case: Answered, judged: Judged) -> str:
    """Return the key of the family looked at on Restore: the chosen one, else the record's."""
    chosen = str(case.facts.get(family_place(case.chosen)) or "")
    known = chosen in (support.key for support in judged.ranking.families)
    return chosen if known else recorded_family(case, judged)


def recorded_family(case: Answered, judged: Judged) -> str:
    """Return the key of the family whose plan the record carries: see `sheets.family_of`."""
    label = judged.implant.label
    return family_of(label, judged.ranking, case.standing.get(label), case.facts, notes())


def look_at_family(case: Answered, key: str) -> None:
    """Choose the family looked at on Restore, for the implant in hand."""
    case.facts[family_place(case.chosen)] = key


def remembered(
    case: Answered, name: str, widget: Callable[..., Any], *args: Any, **options: Any
) -> Any:
    """Show a widget whose value is a fact of the case, and outlives its page."""
    return remembered_in(case.facts, f"{case.serial} {name}", name, widget, *args, **options)


def remembered_in(
    store: dict[str, Any],
    scope: str,
    name: str,
    widget: Callable[..., Any],
    *args: Any,
    **options: Any,
) -> Any:
    """Show a widget that keeps its value in a store: Streamlit forgets it when a page is left.

    `scope` names the widget; one of another case must never lend it its value.
    """
    key = f"kept {scope}"
    if name in store:
        st.session_state[key] = store[name]
        options.pop("default", None)
    else:
        st.session_state.pop(key, None)

    def keep() -> None:
        store[name] = st.session_state[key]

    return widget(*args, key=key, on_change=keep, **options)
