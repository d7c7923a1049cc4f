"""What is kept beside the work on a case: pseudonym, notes, photographs, and its history."""

from __future__ import annotations

import streamlit as st

from features.input_file import BadInput
from identify.casebook import Saved, local_time
from identify.kept_case import Photo
from identify.photo import clean_photo
from identify.screens import keeping, look, on_table
from identify.screens.as_kept import EitherCase

PHOTOS = ("the platform from above", "a screw beside a ruler", "a part out of the mouth", "other")


def ask_names(case: EitherCase) -> None:
    """Ask what the case is to be called, and whether it was refuted."""
    _text(case, "pseudonym", "Pseudonym", 80, "No name is needed; a number of your own will do.")
    st.checkbox("Refuted", case.refuted, key=f"refuted {case.serial}", on_change=_turn(case))


def show_kept(case: EitherCase, *, once: str) -> None:
    """Show notes, photographs and history; `once` says when a case is kept that is not yet."""
    _remarks(case)
    _photos(case)
    saved = keeping.slot_of(case).saved
    if saved is None:
        look.quiet(f"Not kept yet: {once}.")
        return
    look.quiet(f"Saved {local_time(saved.step.at)}, step {saved.step.number}: {saved.step.what}.")
    with st.expander("History"):
        _history(case, saved)


def _turn(case: EitherCase):
    def turn() -> None:
        case.refuted = not case.refuted

    return turn


def _text(case: EitherCase, name: str, label: str, most: int, hint: str) -> None:
    key = f"{name} {case.serial}"

    def change() -> None:
        setattr(case, name, st.session_state[key].strip())

    value = getattr(case, name)
    st.text_input(label, value, key=key, max_chars=most, help=hint, on_change=change, width=320)


def _remarks(case: EitherCase) -> None:
    key = f"remarks {case.serial}"

    def change() -> None:
        case.remarks = st.session_state[key]

    st.text_area("Notes", case.remarks, key=key, max_chars=20000, height=90, on_change=change)


def _photos(case: EitherCase) -> None:
    turn = st.session_state.setdefault("photo_turn", 0)
    key = f"photo_{turn}"

    def take() -> None:
        given = st.session_state[key]
        if not given:  # taken out again
            return
        try:
            name = keeping.book().films.put_photo(clean_photo(given.getvalue(), given.name))
            others = tuple(photo for photo in case.photos if photo.file != name)
            case.photos = (*others, Photo(file=name, shows=st.session_state["shows"]))
            st.session_state["photo_turn"] = turn + 1
        except BadInput as error:
            st.session_state["photo_problem"] = str(error)

    with st.expander(f"Photographs ({len(case.photos)})"):
        st.selectbox("It shows", PHOTOS, key="shows", width=320)
        st.file_uploader("A photograph", type=["jpg", "jpeg", "png"], key=key, on_change=take)
        if problem := st.session_state.pop("photo_problem", None):
            st.error(problem)
        for photo in dict.fromkeys(case.photos):
            st.image(keeping.book().films.photo(photo.file), caption=photo.shows, width=320)
            key = f"off {photo.file} {photo.shows}"
            st.button("Take off", key=key, on_click=_take_off, args=(case, photo))


def _take_off(case: EitherCase, photo: Photo) -> None:
    case.photos = tuple(other for other in case.photos if other != photo)


def _history(case: EitherCase, saved: Saved) -> None:
    try:
        steps = keeping.book().history(saved.key)
    except BadInput as error:
        st.warning(str(error))
        return
    shown = {step.number: f"{local_time(step.at)} · {step.what}" for step in reversed(steps)}
    number = st.selectbox("Step", list(shown), format_func=shown.__getitem__, width=440)
    if number != saved.step.number:
        st.button("Go back to this step", on_click=_go_back, args=(case, saved, number))


def _go_back(case: EitherCase, saved: Saved, number: int) -> None:
    if earlier := keeping.go_back(case, saved, number):
        on_table.replace_case(case, earlier)
