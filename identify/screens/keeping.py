"""Autosave: what is done on a case goes into the casebook at once, and comes back from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import streamlit as st

from features.input_file import BadInput
from features.radiograph import Radiograph
from identify.casebook import DELETED, Casebook, EditedElsewhere, Saved
from identify.kept_case import FilmWork, KeptCase, case_to_json
from identify.kept_film import KeptFilm, keep
from identify.notes_version import notes_version
from identify.ranking import Ranking
from identify.record import program_version
from identify.screens.as_kept import EitherCase, as_read, case_of, state_of
from identify.screens.case import Case

ANY_FILM = "0" * 64  # stands for the film where only the work on it is compared
IN_HAND = ("case", "unfilmed")  # where the session has them: on the table, and without a film


@dataclass(slots=True)
class Slot:
    """How one case of this session stands in the casebook.

    `first` is the state it was opened with: a demo film nobody touched is not kept, nor a case
    without a film of which nothing was said. `conflict`: another window saved or, `gone`, deleted
    the case since.
    """

    first: str
    saved: Saved | None = None
    problem: str = ""
    conflict: bool = False
    gone: bool = False


def book() -> Casebook:
    """Return the casebook in the user's data folder."""
    return Casebook()


def slot_of(case: EitherCase) -> Slot:
    """Return a case's place in the casebook, an empty one at first."""
    if case.slot is None:
        case.slot = Slot(case_to_json(state_of(case, ANY_FILM)))
    slot: Slot = case.slot
    return slot


def autosave() -> None:
    """Save what is in hand if anything on it changed. Never stands in the way of the work."""
    for place in IN_HAND:
        if case := st.session_state.get(place):
            _autosave(case)


def _autosave(case: EitherCase) -> None:
    slot = slot_of(case)
    if slot.conflict or not _worth_keeping(case, slot):
        return
    try:
        _save(case, slot)
        slot.problem = ""
    except (EditedElsewhere, BadInput) as error:
        note_problem(slot, error)


def is_unsaved(case: EitherCase) -> bool:
    """Whether work on a case would be lost with the window, and no other window has a newer one."""
    slot = slot_of(case)
    return bool(slot.problem) and not slot.conflict


def note_problem(slot: Slot, error: EditedElsewhere | BadInput) -> None:
    """Remember why a case was not saved, to be said at the head of every page."""
    if isinstance(error, EditedElsewhere):
        slot.problem, slot.conflict, slot.gone = str(error), True, error.deleted
    else:
        slot.problem = f"This case is not being saved. {error}"


def _worth_keeping(case: EitherCase, slot: Slot) -> bool:
    if slot.saved is not None or (isinstance(case, Case) and case.own):
        return True
    return case_to_json(state_of(case, ANY_FILM)) != slot.first


def _save(case: EitherCase, slot: Slot, *, after: int | None = None) -> None:
    cases = book()
    if slot.saved is None:
        slot.saved = cases.start(state_of(case, _put_film(case)), "case opened")
        return
    # the film itself never changes, and encoding it takes longer than all the rest
    work = slot.saved.case.work
    state = state_of(case, work.film if isinstance(work, FilmWork) else "")
    if after is not None or case_to_json(state) != case_to_json(slot.saved.case):
        what = what_changed(slot.saved.case, state)
        number = slot.saved.step.number if after is None else after
        slot.saved = cases.save(slot.saved.key, state, what, after=number)


def _put_film(case: EitherCase) -> str:
    return book().films.put(_encoded(as_read(case.film))) if isinstance(case, Case) else ""


def what_changed(before: KeptCase, now: KeptCase) -> str:
    """Name the parts of a case that differ, for its history."""
    old, new = _parts(before), _parts(now)
    changed = [name for name in new if old[name] != new[name]]
    return f"{', '.join(changed) or 'view'} changed"


def _parts(kept: KeptCase) -> dict[str, Any]:
    work = kept.work
    place: dict[str, Any]
    if isinstance(work, FilmWork):
        place = {"marks": (work.draft, work.pending, work.turned)}
    else:
        place = {"tooth": work.tooth}
    return place | {
        "answers": work.answers,
        "facts": work.facts,
        "confirmation": work.confirmed,
        "pseudonym": kept.pseudonym,
        "notes": kept.notes,
        "status": kept.status,
        "photographs": kept.photos,
    }


def save_on_top(case: EitherCase) -> None:
    """Keep mine after another window's step; theirs stays in the history."""
    slot = slot_of(case)
    assert slot.saved  # a conflict is with something saved
    try:
        if book().holds(slot.saved.key):
            last = book().load(slot.saved.key).step.number
            _save(case, slot, after=last)
        else:  # deleted elsewhere: mine becomes a new case
            slot.saved = None
            _save(case, slot)
    except (EditedElsewhere, BadInput) as error:
        note_problem(slot, error)
    else:
        slot.conflict, slot.gone, slot.problem = False, False, ""


def take_over(case: EitherCase) -> EitherCase | None:
    """Return the case as the other window left it; None, and said, where it was deleted there."""
    slot = slot_of(case)
    assert slot.saved  # a conflict is with something saved
    try:
        return opened(slot.saved.key)
    except BadInput as error:
        slot.gone = not book().holds(slot.saved.key)
        slot.problem = DELETED if slot.gone else str(error)
        return None


def go_back(case: EitherCase, saved: Saved, number: int) -> EitherCase | None:
    """Make an earlier step the present one; None, and said, where another window was there."""
    try:
        book().go_back(saved.key, number, after=saved.step.number)
        return opened(saved.key)
    except (EditedElsewhere, BadInput) as error:
        note_problem(slot_of(case), error)
        return None


@lru_cache(maxsize=1)
def _encoded(film: Radiograph) -> KeptFilm:
    """Encode a film; once for the question whether it is kept already, and for keeping it."""
    return keep(film)


def kept_case_of(film: Radiograph) -> str | None:
    """Return the key of the case, the last changed, that holds this very film."""
    try:
        name = _encoded(film).sha256
        found = (saved for saved in book().find() if name in saved.case.files)
        return next((saved.key for saved in found), None)
    except BadInput:
        return None  # said where the case itself is saved


def opened(key: str, number: int | None = None) -> EitherCase:
    """Open a kept case, and remember where it is kept.

    Raises
    ------
    BadInput
        There is no such case, or its film is missing or damaged.
    """
    cases = book()
    saved = cases.load(key)
    shown = saved if number is None else cases.load(key, number)
    case = case_of(shown.case, cases.films)
    case.slot = Slot("", saved)
    return case


def note_ranking(case: EitherCase, label: str, ranking: Ranking) -> None:
    """Keep what was answered with the step it answers; once."""
    slot = slot_of(case)
    if slot.saved is None or slot.conflict:
        return
    noted: dict[tuple[str, str], str] = st.session_state.setdefault("noted", {})
    data = ranking.to_json(rows=False)
    mark = f"{slot.saved.step.number} {data['ranking'][:3]}"
    if noted.get((slot.saved.key, label)) == mark:
        return
    versions = [f"radiofixture {program_version()}", f"notes {notes_version()}"]
    try:
        book().note_ranking(slot.saved.key, slot.saved.step.number, label, data, versions)
    except BadInput:
        return  # said where the case itself is saved
    noted[slot.saved.key, label] = mark
