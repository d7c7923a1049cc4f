"""Cases: what was kept, found again; one case handed on, brought in, or deleted for good."""

from __future__ import annotations

import streamlit as st

from features.input_file import BadInput
from identify.backup import COPY, back_up_zip
from identify.casebook import Casebook, Saved, local_time
from identify.casefile import export_case, import_case
from identify.database import data_folder
from identify.kept_case import KeptCase
from identify.screens import about_case, keeping, look, on_table, taught_view
from identify.screens.case import Case
from identify.screens.unfilmed import Unfilmed
from identify.teeth import tooth_text

LEAD = "Everything done on a case is kept here, on this computer, as you do it."
STATUS = {
    "open": "open",
    "refuted": "refuted",
    "film_only": "film only",
    "connection_seen": "connection seen",
    "bench": "measured on the bench",
    "trial": "confirmed by trial",
    "record": "confirmed by a record",
}


def show() -> None:
    if st.session_state.pop("unfilmed_opened", False):
        st.switch_page(look.page("no_film"))
    case = look.open_page("Cases", LEAD)
    if problem := st.session_state.pop("film_problem", None):
        st.error(problem)
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
    with st.container(horizontal=True, vertical_alignment="bottom"):
        about_case.ask_names(case)
    about_case.show_kept(case, once="a demo film is kept once something on it was changed")


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
    film = f" · {kept.names}" if kept.pseudonym else ""
    return f"{kept.pseudonym or kept.names}\n{teeth}{film}"


def _open(key: str) -> None:
    try:
        case = keeping.opened(key)
        on_table.put_on_table(case)
        st.session_state["unfilmed_opened"] = isinstance(case, Unfilmed)
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
