"""Cases: what was kept, found again; one case handed on, brought in, or deleted for good."""

from __future__ import annotations

import streamlit as st

from features.input_file import BadInput
from identify.backup import COPY, back_up_zip
from identify.casebook import Casebook, Saved, local_time
from identify.casefile import export_case, import_case
from identify.database import data_folder
from identify.kept_case import KeptCase, Photo
from identify.photo import clean_photo
from identify.screens import keeping, look, on_table, taught_view
from identify.screens.case import Case
from identify.teeth import tooth_text

LEAD = "Everything done on a film is kept here, on this computer, as you do it."
STATUS = {
    "open": "open",
    "refuted": "refuted",
    "film_only": "film only",
    "connection_seen": "connection seen",
    "bench": "measured on the bench",
    "trial": "confirmed by trial",
    "record": "confirmed by a record",
}
PHOTOS = ("the platform from above", "a screw beside a ruler", "a part out of the mouth", "other")


def show() -> None:
    case = look.open_page("Cases", LEAD)
    look.caution(case, whole_film=True)
    _this_case(case)
    st.subheader("All cases", anchor=False)
    try:
        _list(keeping.book())
    except BadInput as error:
        st.warning(str(error))
    _bring_in()
    _keep_copy()
    taught_view.show()


def _this_case(case: Case) -> None:
    st.subheader(f"On the table: {case.public_name}", anchor=False)
    saved = keeping.slot_of(case).saved
    with st.container(horizontal=True):
        _text(
            case, "pseudonym", "Pseudonym", 80, "No name is needed; a number of your own will do."
        )
        st.checkbox("Refuted", case.refuted, key=f"refuted {case.revision}", on_change=_turn(case))
    _remarks(case)
    _photos(case)
    if saved is None:
        look.quiet("Not kept yet: a demo film is kept once something on it was changed.")
        return
    look.quiet(f"Saved {local_time(saved.step.at)}, step {saved.step.number}: {saved.step.what}.")
    with st.expander("History"):
        _history(case, saved)


def _turn(case: Case):
    def turn() -> None:
        case.refuted = not case.refuted

    return turn


def _text(case: Case, name: str, label: str, most: int, hint: str) -> None:
    key = f"{name} {case.serial}"

    def change() -> None:
        setattr(case, name, st.session_state[key].strip())

    value = getattr(case, name)
    st.text_input(label, value, key=key, max_chars=most, help=hint, on_change=change, width=320)


def _remarks(case: Case) -> None:
    key = f"remarks {case.serial}"

    def change() -> None:
        case.remarks = st.session_state[key]

    st.text_area("Notes", case.remarks, key=key, max_chars=20000, height=90, on_change=change)


def _photos(case: Case) -> None:
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


def _take_off(case: Case, photo: Photo) -> None:
    case.photos = tuple(other for other in case.photos if other != photo)


def _history(case: Case, saved: Saved) -> None:
    try:
        steps = keeping.book().history(saved.key)
    except BadInput as error:
        st.warning(str(error))
        return
    shown = {step.number: f"{local_time(step.at)} · {step.what}" for step in reversed(steps)}
    number = st.selectbox("Step", list(shown), format_func=shown.__getitem__, width=440)
    if number != saved.step.number:
        st.button("Go back to this step", on_click=_go_back, args=(case, saved, number))


def _go_back(case: Case, saved: Saved, number: int) -> None:
    if earlier := keeping.go_back(case, saved, number):
        on_table.replace_case(case, earlier)


def _list(book: Casebook) -> None:
    words = st.text_input("Search", placeholder="pseudonym, tooth, note, status …", width=440)
    found = book.find(words)
    if not found:
        look.quiet("No case has these words." if words else "No case has been kept yet.")
    begun = book.begun()
    for saved in found:
        _row(book, saved, begun.get(saved.key, saved.step.at))


def _row(book: Casebook, saved: Saved, begun: str) -> None:
    times = f"changed {local_time(saved.step.at)} · begun {local_time(begun)}"
    title = f"{_title(saved.case)} · {STATUS[saved.case.status]} · {times}"
    with st.container(border=True, horizontal=True, vertical_alignment="center"):
        look.table([[title]], kind="cases")
        st.button("Open", key=f"open {saved.key}", on_click=_open, args=(saved.key,))
        with st.popover("More"):
            _more(book, saved)


def _title(kept: KeptCase) -> str:
    teeth = ", ".join(tooth_text(tooth) for tooth in kept.teeth) or "tooth not given"
    names = ", ".join(film.name for film in kept.films)
    return f"{kept.pseudonym or names}\n{teeth} · {names}"


def _open(key: str) -> None:
    try:
        on_table.put_on_table(keeping.opened(key))
    except BadInput as error:
        st.session_state["film_problem"] = str(error)


def _more(book: Casebook, saved: Saved) -> None:
    st.download_button(
        "Export",
        lambda: export_case(book, saved.key),
        file_name=f"case-{saved.key[:8]}.zip",
        mime="application/zip",
        key=f"export {saved.key}",
        on_click="ignore",
    )
    look.quiet("The case with its films, its history and no patient's name unless you typed it.")
    sure = st.checkbox("Yes, delete it and its history", key=f"sure {saved.key}")
    st.button(
        "Delete for good",
        key=f"delete {saved.key}",
        disabled=not sure,
        on_click=_delete,
        args=(saved.key,),
    )


def _delete(key: str) -> None:
    try:
        keeping.book().delete(key)
    except BadInput as error:
        st.session_state["film_problem"] = str(error)
    else:
        on_table.forget(key)


def _bring_in() -> None:
    turn = st.session_state.setdefault("import_turn", 0)
    key = f"import_{turn}"

    def take() -> None:
        given = st.session_state[key]
        if not given:  # taken out again
            return
        try:
            _open(import_case(keeping.book(), given.getvalue(), given.name))
            st.session_state["import_turn"] = turn + 1
        except BadInput as error:
            st.session_state["import_problem"] = str(error)

    with st.expander("Bring in an exported case"):
        st.file_uploader("Case file (zip)", type="zip", key=key, on_change=take)
        if problem := st.session_state.pop("import_problem", None):
            st.error(problem)


def _keep_copy() -> None:
    with st.expander("Keep a copy of everything"):
        st.download_button(
            "Download all cases",
            back_up_zip,
            file_name=f"{COPY}.zip",
            mime="application/zip",
            on_click="ignore",
        )
        look.quiet(
            f"Every case with its films, photographs and history, and the shelf. To go back to it, "
            f"unpack it and put what is inside in {data_folder()}."
        )


show()
