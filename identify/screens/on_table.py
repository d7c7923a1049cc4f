"""The cases of a browser session: which film is on the table, and how others get there."""

from __future__ import annotations

import os
import sys
from functools import partial
from pathlib import Path
from typing import Any

import streamlit as st

from features.film import UnreadableFilm, read_film_file
from features.input_file import BadInput
from features.marks import Marks, load_marks
from features.radiograph import Radiograph
from identify.kept_film import keepable
from identify.screens import keeping
from identify.screens.as_kept import EitherCase, as_read
from identify.screens.case import Case, marked_case, unmarked_case
from identify.screens.unfilmed import Unfilmed

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "sample_images" / "demo"
APP = "app.py"
FILM_VARIABLE = "RADIOFIXTURE_FILM"
KEPT_CASES = 8


def current() -> Case:
    """Return the film on the table; at first the one named on start, else a demo film."""
    if "case" not in st.session_state:
        _open_first()
    case: Case = st.session_state["case"]
    return case


def unfilmed() -> Unfilmed:
    """Return the case without a film that is in hand; at first a new one."""
    if "unfilmed" not in st.session_state:
        begin_unfilmed()
    case: Unfilmed = st.session_state["unfilmed"]
    return case


def begin_unfilmed() -> None:
    """Begin another case without a film; the one before is found under Cases."""
    _put(Unfilmed())


def _open_first() -> None:
    named = film_named_on_start()
    if named is None or not _open_path(named):
        show_film(next(iter(demo_films())))


def film_named_on_start() -> Path | None:
    """Return the film given to the command that started the app, or in the environment."""
    arguments = sys.argv[1:] if Path(sys.argv[0]).name == APP else []
    named = arguments[0] if arguments else os.environ.get(FILM_VARIABLE, "")
    return Path(named) if named else None


def demo_films() -> dict[str, Path]:
    """Demo films by the name they are shown under; their file names would give them away."""
    paths = sorted(DEMO.glob("*.png"))
    return {f"Demo film {number}": path for number, path in enumerate(paths, 1)}


def films() -> dict[str, str]:
    """All films that can be put on the table without opening a file: key, and what it is called.

    Two of one name are told apart.
    """
    names = {name: name for name in demo_films()}
    for case in _filmed():
        if case.key not in names:
            alike = [n for n in names.values() if n.partition(" (")[0] == case.name]
            names[case.key] = f"{case.name} ({len(alike) + 1})" if alike else case.name
    return names


def _cases() -> dict[str, EitherCase]:
    cases: dict[str, EitherCase] = st.session_state.setdefault("cases", {})
    return cases


def _filmed() -> list[Case]:
    return [case for case in _cases().values() if isinstance(case, Case)]


def other_cases(case: EitherCase) -> list[Case]:
    """Return the other films worked on in this session."""
    return [other for other in _filmed() if other is not case]


def case_called(key: str) -> Case:
    """Return a film's case without putting it on the table."""
    return next((case for case in _filmed() if case.key == key), None) or _demo_case(key)


def show_film(key: str) -> None:
    """Put a film on the table, with the work done on it."""
    _put(case_called(key))


def _demo_case(name: str) -> Case:
    path = demo_films()[name]
    film = read_film_file(path)
    case = marked_case(film, name, _marks_beside(path, film))
    case.key = name
    return case


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
    """Put a user's film on the table; an unreadable one leaves the earlier work as it is.

    A film that is kept already comes back with the work done on it.
    """
    try:
        film = keepable(read_film_file(raw, name))
    except UnreadableFilm as error:
        st.session_state["film_problem"] = str(error)
        return False
    if kept := keeping.kept_case_of(film):
        put_on_table(keeping.opened(kept))
        st.session_state["kept_already"] = True
        return True
    _put(unmarked_case(film, name))
    return True


def start_anew(case: Case) -> None:
    """Begin another case with the film on the table."""
    film = as_read(case.film)
    _put(unmarked_case(film, case.name))


def replace_case(old: EitherCase, new: EitherCase) -> None:
    """Put another state of a case in its place."""
    _cases().pop(old.key, None)
    new.key = old.key
    _put(new)


def forget(key: str) -> None:
    """Let go of a case deleted from the casebook; another takes its place in hand."""
    for case in _of_kept(key):
        del _cases()[case.key]
        if case is st.session_state.get("unfilmed"):
            begin_unfilmed()
        elif case is st.session_state.get("case"):
            show_film(next(iter(demo_films())))


def put_on_table(case: EitherCase) -> None:
    """Take up a case from the casebook; work that could not be saved is not put aside.

    Raises
    ------
    BadInput
        It would take the place of one without a film that is not being saved.
    """
    if isinstance(case, Unfilmed) and keeping.is_unsaved(unfilmed()):
        raise BadInput(
            "The case on No film is not being saved; see there before another is opened."
        )
    for held in _of_kept(case.slot.saved.key):
        if held.slot.conflict:
            _put(held)
        else:
            replace_case(held, case)
        return
    _put(case)


def _of_kept(key: str) -> list[EitherCase]:
    return [
        case
        for case in _cases().values()
        if case.slot is not None and case.slot.saved is not None and case.slot.saved.key == key
    ]


def _put(case: EitherCase) -> None:
    cases = _cases()
    cases.pop(case.key, None)
    cases[case.key] = case
    st.session_state["unfilmed" if isinstance(case, Unfilmed) else "case"] = case
    in_hand = [st.session_state.get(place) for place in keeping.IN_HAND]
    spare = [key for key, held in cases.items() if all(held is not one for one in in_hand)]
    for key in spare[: max(len(cases) - KEPT_CASES, 0)]:
        del cases[key]
