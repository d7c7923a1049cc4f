"""Film: open one, look at it, mark the implant and say what is known of its size."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from features.burned_in import WORDS, carries_writing
from features.film import INVERTED
from features.input_file import BadInput
from features.reading import Reading
from identify.screens import look, marker, marking, on_table, proposing, scale_chooser, session
from identify.screens.case import Case
from identify.teeth import PERMANENT_TEETH
from identify.words import measure_label, quantity_text, scale_text

FIRST_NUMBERS = ("length", "platform_width", "coronal_width", "thread_pitch")
FILM_TYPES = "DICOM, PNG, TIFF, JPEG, BMP or WebP"
JOINTS = {"seen": "seen", "guessed": "guessed", "hidden": "hidden"}


def show() -> None:
    case = look.open_page(
        "Film", "Open a film, put the handles on the implant, say what size is known."
    )
    _choose_film(case)
    look.caution(case, whole_film=True)
    if carries_writing(case.film):
        st.warning(WORDS)
    left, right = st.columns([7, 3], gap="medium")
    with left:
        _marker(case)
        below = st.container()
    with right:
        scale_chooser.show(case)
        _implants(case)
        _holder(case)
        _negative(case)
    with below:
        _read_aloud(case)


def _choose_film(case: Case) -> None:
    def choose() -> None:
        on_table.show_film(st.session_state["film_name"])

    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.session_state["film_name"] = case.key
        names = on_table.films()
        st.selectbox(
            "On the table",
            list(names),
            key="film_name",
            format_func=names.__getitem__,
            on_change=choose,
            width=220,
        )
        with st.popover("Open a film"):
            _upload()
    if problem := st.session_state.pop("film_problem", None):
        st.error(f"{problem} The film on the table and its marks are as they were.")
    if st.session_state.pop("kept_already", False):
        st.info("This film was worked on before: its case is open again, with all that was done.")
        st.button("Start a new case with it", on_click=on_table.start_anew, args=(case,))


def _upload() -> None:
    turn = st.session_state.setdefault("upload_turn", 0)
    key = f"upload_{turn}"

    def take() -> None:
        given = st.session_state[key]
        if given is not None and on_table.open_upload(given.getvalue(), given.name):
            st.session_state["upload_turn"] = turn + 1  # a fresh, empty uploader

    st.file_uploader("A periapical film", key=key, on_change=take)
    look.quiet(f"{FILM_TYPES}. It stays on this computer; its file name is not kept.")


def _marker(case: Case) -> None:
    def moved() -> None:
        value = st.session_state["marker"]["marks"]
        if sent := marker.sent_points(value, case.revision):
            case.move(*sent)

    def asked() -> None:
        value = st.session_state["marker"]["ask"]
        if value and value["rev"] == case.revision:
            proposing.propose_here(case, marker.asked_point(value))

    marker.show_marker(
        session.display_png(case.film),
        marking.points_of(case.draft),
        {
            "handles": marking.handles_of(case.draft, case.pending),
            "links": marking.links_of(case.draft),
            "asks": proposing.waiting_label(case) is not None,
        },
        rev=case.revision,
        on={"marks": moved, "undo": case.undo, "ask": asked},
    )


def _implants(case: Case) -> None:
    for implant in case.draft["implants"]:
        st.subheader(f"Implant {implant['label']}", anchor=False)
        _implant(case, implant["label"])
    if len(case.labels) < len(marking.LABELS):
        st.button("Add a second implant", on_click=_add_implant, args=(case,))


def _add_implant(case: Case) -> None:
    film = case.film
    case.redraw(marking.with_second_implant(case.draft, film.width, film.height))


def _implant(case: Case, label: str) -> None:
    implant = next(i for i in case.draft["implants"] if i["label"] == label)
    _edited(case, label, "joint", implant.get("joint", "seen"))
    _edited(case, label, "tooth", implant.get("tooth"))
    if len(case.labels) > 1:
        st.button(f"Remove implant {label}", on_click=case.remove_implant, args=(label,))


def _edited(case: Case, label: str, name: str, value: str | None) -> None:
    key = f"{name}_{label}_{case.revision}"

    def change() -> None:
        case.edit(marking.with_entry(case.draft, label, name, st.session_state[key]))

    if name == "joint":
        st.segmented_control(
            "Joint to the crown or abutment",
            list(JOINTS),
            default=value,
            key=key,
            on_change=change,
            help="Is the line between implant and abutment seen where the platform is marked? "
            "A guessed or hidden joint makes length, bore depth and collar less sure.",
        )
    else:
        teeth = PERMANENT_TEETH
        index = teeth.index(value) if value in teeth else None
        st.selectbox(
            "Tooth (FDI)", teeth, index, key=key, on_change=change, placeholder="not given"
        )


def _negative(case: Case) -> None:
    key = f"negative_{case.revision}"
    turned = INVERTED in case.film.notes
    label = "A negative: metal looks dark here"
    st.checkbox(label, turned, key=key, on_change=case.turn)


def _holder(case: Case) -> None:
    key = f"holder_{case.revision}"

    def change() -> None:
        case.edit(case.draft | {"film": {"holder": st.session_state[key]}})

    st.checkbox("Taken with a film holder", case.draft["film"]["holder"], key=key, on_change=change)


def _read_aloud(case: Case) -> None:
    for sentence in marking.waiting_sentences(case.draft, case.pending):
        st.info(sentence)
    proposing.show_proposal(case)
    if case.pending:
        with st.container(horizontal=True):
            st.button("All handles are in place", on_click=case.accept_places)
            if proposing.waiting_label(case):
                st.button("Propose marks", on_click=proposing.propose_everything, args=(case,))
    try:
        reading = session.read_case(case)
    except BadInput as error:
        st.warning(str(error))
        return
    if reading:
        _first_numbers(reading)
        with st.container(horizontal=True):
            look.next_button("See the findings", "findings")
            _save_marks(case)


def _save_marks(case: Case) -> None:
    """A marks file beside the film opens with it, here and on the command line."""
    if marks := case.marks():
        st.download_button(
            "Save the marks",
            marks.model_dump_json(indent=1, exclude_none=True),
            file_name=f"{Path(case.name).stem}.marks.json",
            mime="application/json",
            on_click="ignore",
        )


def _first_numbers(reading: Reading) -> None:
    unit = "mm" if reading.scale.mm_per_px else "px"
    for implant in reading.implants:
        keys = [f"{name}_{unit}" for name in FIRST_NUMBERS]
        shown = [(measure_label(k), implant.measures[k]) for k in keys if k in implant.measures]
        if len(reading.implants) > 1:
            st.subheader(f"Implant {implant.label}", anchor=False)
        look.numbers((label, quantity_text(q) if q else "not measured") for label, q in shown)
    look.quiet(f"Scale: {scale_text(reading.scale)}")


show()
