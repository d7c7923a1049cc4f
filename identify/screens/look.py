"""How the screens look: a little CSS, tables that fit a phone, and the caution on every page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape as escape_markup
from pathlib import Path

import streamlit as st

from features.input_file import BadInput
from features.reading import Reading
from identify.ranking import NOT_CONFIRMED
from identify.screens import keeping, on_table, placed_with, session
from identify.screens.as_kept import EitherCase
from identify.screens.case import Case
from identify.screens.session import Judged
from identify.words import unbroken

PAGES = "identify/screens"
_SHEETS = ("look.css", "balance.css")
_CSS = "\n".join((Path(__file__).parent / name).read_text(encoding="utf-8") for name in _SHEETS)


def escape(text: str) -> str:
    """Make text safe to stand in HTML, with its numbers unbroken."""
    return escape_markup(unbroken(text))


def page(name: str) -> str:
    """Path of a screen's file, as navigation knows it."""
    return f"{PAGES}/{name}.py"


def open_page(title: str, lead: str) -> Case:
    """Head of every screen: title, what it is for, and how far the case is confirmed."""
    case = on_table.current()
    head(title, lead)
    say_if_not_saved(case)
    return case


def head(title: str, lead: str) -> None:
    """Show a screen's title and what it is for."""
    st.html(f"<style>{_CSS}</style>")
    st.header(title, anchor=False)
    st.html(f'<p class="rf-lead">{escape(lead)}</p>')


def say_if_not_saved(case: EitherCase) -> None:
    """Show why a case is not being saved, with the ways out."""
    slot = keeping.slot_of(case)
    if not slot.problem:
        return
    st.warning(slot.problem)
    if slot.gone:
        st.button("Save as a new case", on_click=keeping.save_on_top, args=(case,))
    elif slot.conflict:
        with st.container(horizontal=True):
            st.button("Take over what is saved", on_click=_take_over, args=(case,))
            st.button("Save mine on top", on_click=keeping.save_on_top, args=(case,))


def _take_over(case: EitherCase) -> None:
    if saved := keeping.take_over(case):
        on_table.replace_case(case, saved)


def caution(case: EitherCase, *, whole_film: bool = False) -> None:
    """Show the line that everything carries until the case is confirmed."""
    name = case.public_name  # a file's name may be a patient's, and a screen is shown to others
    about = [name] if whole_film else [name, f"implant {case.chosen}"]
    confirmed = case.standing.get(case.chosen)
    if confirmed and not (whole_film and len(case.labels) > 1):
        kind, family = confirmed
        word, sort = f"Confirmed as {family} ({session.confirming()[kind]})", "confirmed"
    else:
        word, sort = NOT_CONFIRMED, "open"
    if case.refuted:
        about.append("marked as refuted")
    caution_line(word, about, sort)


def caution_line(word: str, about: Iterable[str], sort: str = "open") -> None:
    """Show how far something is confirmed, and what it is about."""
    st.html(
        f'<div class="rf-caution rf-{sort}" role="note"><strong>{escape(word)}</strong>'
        f"<span>{escape(' · '.join(about))}</span></div>"
    )


def judged_page(title: str, lead: str) -> tuple[Case, Reading, Judged]:
    """Head of a screen that needs a reading; stops with the way out where there is none."""
    case = open_page(title, lead)
    reading = _reading_or_stop(case)
    labels = [implant.label for implant in reading.implants]
    if case.chosen not in labels:
        case.chosen = labels[0]
    if len(labels) > 1:
        _choose_implant(case, labels)
    caution(case)
    placed_with.refresh_lent(case, reading)
    return case, reading, session.judge(case, reading)


def _reading_or_stop(case: Case) -> Reading:
    try:
        reading = session.read_case(case)
    except BadInput as error:
        st.warning(str(error))
        reading = None
    else:
        if reading is None:
            st.info("No implant is marked on this film yet.")
    if reading is None:
        next_button("Mark the implant", "film")
        st.stop()
    return reading


def _choose_implant(case: Case, labels: list[str]) -> None:
    def choose() -> None:
        case.chosen = st.session_state["chosen"] or case.chosen

    st.session_state["chosen"] = case.chosen
    st.segmented_control("Implant", labels, key="chosen", on_change=choose)


def next_button(label: str, name: str, *, key: str = "next", primary: bool = True) -> None:
    """Show a button that leads to another screen."""
    if st.button(label, key=key, type="primary" if primary else "secondary"):
        st.switch_page(page(name))


def table(rows: Iterable[Sequence[str]], *, head: Sequence[str] = (), kind: str = "") -> None:
    """Show rows of plain text, escaped here; what follows a line break in a cell is small."""
    top = "".join(f"<th>{escape(cell)}</th>" for cell in head)
    body = "".join(f"<tr>{''.join(map(_cell, row))}</tr>" for row in rows)
    st.html(f'<table class="rf-table {kind}">{f"<tr>{top}</tr>" if head else ""}{body}</table>')


def _cell(text: str) -> str:
    main, _, small = text.partition("\n")
    return f"<td>{escape(main)}{f'<small>{escape(small)}</small>' if small else ''}</td>"


def numbers(pairs: Iterable[tuple[str, str]]) -> None:
    """Show a few numbers in a row that wraps."""
    cells = "".join(
        f"<div><span>{escape(label)}</span><b>{escape(text)}</b></div>" for label, text in pairs
    )
    st.html(f'<div class="rf-numbers">{cells}</div>')


def bullets(sentences: Iterable[str], *, numbered: bool = False) -> None:
    """Sentences as a list."""
    items = "".join(f"<li>{escape(sentence)}</li>" for sentence in sentences)
    tag = "ol" if numbered else "ul"
    st.html(f'<{tag} class="rf-list">{items}</{tag}>')


def quiet(text: str) -> None:
    """Show a line that need not stand out."""
    st.html(f'<p class="rf-quiet">{escape(text)}</p>')
