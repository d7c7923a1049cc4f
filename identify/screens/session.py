"""What a browser session holds: the film on the table, its reading and its weighing."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import streamlit as st

from features.film import INVERTED, UnreadableFilm, read_film_file
from features.input_file import BadInput
from features.marks import Marks, load_marks
from features.radiograph import Radiograph
from features.reading import ImplantReading, Reading, read_film
from identify.evidence import Evidence
from identify.gathering import gather
from identify.kept_film import keepable
from identify.knowledge import Notes, load_notes
from identify.next_look import Look, next_looks
from identify.overlay import display_grey, encode
from identify.ranking import Ranking
from identify.screens import keeping
from identify.screens.case import Case, marked_case, unmarked_case
from identify.weigh import weigh

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "sample_images" / "demo"
APP = "app.py"
FILM_VARIABLE = "RADIOFIXTURE_FILM"
KEPT_CASES = 8


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


def evidence_of(case: Case, reading: Reading, label: str) -> Evidence:
    """Put together what the film gives of an implant and what the user answered."""
    return gather(reading, label, case.answers.get(label, {}), notes().checklist)


def family_in_view(judged: Judged) -> str:
    """Return the key of the family looked at on Restore, the best supported one at first."""
    order = [support.key for support in judged.ranking.families]
    chosen = st.session_state.get("family")
    return chosen if chosen in order else order[0]


def remembered(
    store: dict[str, Any], name: str, widget: Callable[..., Any], *args: Any, **options: Any
) -> Any:
    """Show a widget whose value outlives its page: Streamlit forgets it when the page is left."""
    key = f"kept {name}"
    if name in store:
        st.session_state[key] = store[name]

    def keep() -> None:
        store[name] = st.session_state[key]

    return widget(*args, key=key, on_change=keep, **options)


def current() -> Case:
    """Return the film on the table; at first the one named on start, else a demo film."""
    if "case" not in st.session_state:
        _open_first()
    case: Case = st.session_state["case"]
    return case


def _open_first() -> None:
    named = film_named_on_start()
    if named is None or not _open_path(named):
        open_demo(next(iter(demo_films())))


def film_named_on_start() -> Path | None:
    """Return the film given to the command that started the app, or in the environment."""
    arguments = sys.argv[1:] if Path(sys.argv[0]).name == APP else []
    named = arguments[0] if arguments else os.environ.get(FILM_VARIABLE, "")
    return Path(named) if named else None


def demo_films() -> dict[str, Path]:
    """Demo films by the name they are shown under; their file names would give them away."""
    paths = sorted(DEMO.glob("*.png"))
    return {f"Demo film {number}": path for number, path in enumerate(paths, 1)}


def films() -> list[str]:
    """Names of all films that can be put on the table without opening a file."""
    own = [name for name in _cases() if name not in demo_films()]
    return [*demo_films(), *own]


def _cases() -> dict[str, Case]:
    cases: dict[str, Case] = st.session_state.setdefault("cases", {})
    return cases


def other_cases(case: Case) -> list[Case]:
    """Return the other films worked on in this session."""
    return [other for other in _cases().values() if other.name != case.name]


def case_named(name: str) -> Case:
    """Return a film's case without putting it on the table."""
    if name in _cases():
        return _cases()[name]
    path = demo_films()[name]
    film = read_film_file(path)
    return marked_case(film, name, _marks_beside(path, film))


def show_film(name: str) -> None:
    """Put a film back on the table, with the work done on it."""
    if name in _cases():
        _put(_cases()[name])
    else:
        open_demo(name)


def open_demo(name: str) -> None:
    """Put a demo film on the table, already marked."""
    path = demo_films()[name]
    film = read_film_file(path)
    _put(marked_case(film, name, _marks_beside(path, film)))


def _marks_beside(path: Path, film: Radiograph) -> Marks:
    beside = path.with_suffix(".marks.json")
    return load_marks(beside, width=film.width, height=film.height)


def _open_path(path: Path) -> bool:
    make: Any = unmarked_case
    try:
        film = read_film_file(path)
        if path.with_suffix(".marks.json").exists():
            make = partial(marked_case, marks=_marks_beside(path, film))
    except (UnreadableFilm, BadInput) as error:
        st.session_state["film_problem"] = str(error)
        return False
    case = make(keepable(film), path.name)
    case.own = True
    _put(case)
    return True


def open_upload(raw: bytes, name: str) -> bool:
    """Put a user's film on the table; an unreadable one leaves the earlier work as it is."""
    try:
        film = read_film_file(raw, name)
    except UnreadableFilm as error:
        st.session_state["film_problem"] = str(error)
        return False
    _put(unmarked_case(keepable(film), name))
    return True


def replace_case(old: Case, new: Case) -> None:
    """Put another state of a case in its place."""
    _cases().pop(old.name, None)
    _put(new)


def forget(case: Case) -> None:
    """Take a film off the table; the first demo film takes its place."""
    _cases().pop(case.name, None)
    open_demo(next(iter(demo_films())))


def put_on_table(case: Case) -> None:
    """Take up a case that comes from elsewhere, such as the casebook."""
    while case.name in _cases() and _cases()[case.name].slot is not case.slot:
        case.name += " "  # two films of one name stay two
    _put(case)


def _put(case: Case) -> None:
    cases = _cases()
    cases.pop(case.name, None)
    cases[case.name] = case
    while len(cases) > KEPT_CASES:
        del cases[next(iter(cases))]
    st.session_state["case"] = case
