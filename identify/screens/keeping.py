"""Autosave: what is done on a film goes into the casebook at once, and comes back from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import streamlit as st

from features.film import INVERTED, inverted
from features.input_file import BadInput
from features.radiograph import Radiograph
from identify.casebook import DELETED, Casebook, EditedElsewhere, Saved
from identify.confirmation import LADDER
from identify.evidence import Item
from identify.kept_case import FilmWork, KeptCase, Status, case_to_json
from identify.kept_film import KeptFilm, keep
from identify.notes_version import notes_version
from identify.ranking import Ranking
from identify.record import program_version
from identify.screens.case import Case

NO_FILM = "0" * 64  # stands for the film where only the work on it is compared


@dataclass(slots=True)
class Slot:
    """How one film of this session stands in the casebook.

    `first` is the state it was opened with: a demo film nobody touched is not kept. `conflict`:
    another window saved or, `gone`, deleted the case since.
    """

    first: str
    saved: Saved | None = None
    problem: str = ""
    conflict: bool = False
    gone: bool = False


def book() -> Casebook:
    """Return the casebook in the user's data folder."""
    return Casebook()


def slot_of(case: Case) -> Slot:
    """Return a film's place in the casebook, an empty one at first."""
    if case.slot is None:
        case.slot = Slot(case_to_json(_state(case, NO_FILM)))
    slot: Slot = case.slot
    return slot


def autosave() -> None:
    """Save the film on the table if anything on it changed. Never stands in the way of the work."""
    case = st.session_state.get("case")
    if case is None:
        return
    slot = slot_of(case)
    if slot.conflict or not _worth_keeping(case, slot):
        return
    try:
        _save(case, slot)
        slot.problem = ""
    except (EditedElsewhere, BadInput) as error:
        note_problem(slot, error)


def note_problem(slot: Slot, error: EditedElsewhere | BadInput) -> None:
    """Remember why a case was not saved, to be said at the head of every page."""
    if isinstance(error, EditedElsewhere):
        slot.problem, slot.conflict, slot.gone = str(error), True, error.deleted
    else:
        slot.problem = f"This case is not being saved. {error}"


def _worth_keeping(case: Case, slot: Slot) -> bool:
    if slot.saved is not None or case.own:
        return True
    return case_to_json(_state(case, NO_FILM)) != slot.first


def _save(case: Case, slot: Slot, *, after: int | None = None) -> None:
    cases = book()
    if slot.saved is None:
        film = cases.films.put(_encoded(as_read(case.film)))
        slot.saved = cases.start(_state(case, film), "case opened")
        return
    # the film itself never changes, and encoding it takes longer than all the rest
    state = _state(case, slot.saved.case.films[0].film)
    if after is not None or case_to_json(state) != case_to_json(slot.saved.case):
        what = what_changed(slot.saved.case, state)
        number = slot.saved.step.number if after is None else after
        slot.saved = cases.save(slot.saved.key, state, what, after=number)


def what_changed(before: KeptCase, now: KeptCase) -> str:
    """Name the parts of a case that differ, for its history."""
    old, new = _parts(before), _parts(now)
    changed = [name for name in new if old[name] != new[name]]
    return f"{', '.join(changed) or 'view'} changed"


def _parts(kept: KeptCase) -> dict[str, Any]:
    work = kept.films[0]
    return {
        "marks": (work.draft, work.pending, work.turned),
        "answers": work.answers,
        "facts": work.facts,
        "confirmation": work.confirmed,
        "pseudonym": kept.pseudonym,
        "notes": kept.notes,
        "status": kept.status,
        "photographs": kept.photos,
    }


def save_on_top(case: Case) -> None:
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


def take_over(case: Case) -> Case | None:
    """Return the case as the other window left it; None, and said, where it was deleted there."""
    slot = slot_of(case)
    assert slot.saved  # a conflict is with something saved
    try:
        return opened(slot.saved.key)
    except BadInput as error:
        slot.gone = not book().holds(slot.saved.key)
        slot.problem = DELETED if slot.gone else str(error)
        return None


def go_back(case: Case, saved: Saved, number: int) -> Case | None:
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


def opened(key: str, number: int | None = None) -> Case:
    """Open a kept case, and remember where it is kept.

    Raises
    ------
    BadInput
        There is no such case, or its film is missing or damaged.
    """
    cases = book()
    saved = cases.load(key)
    shown = saved if number is None else cases.load(key, number)
    case = _case(shown.case, cases.films.get(shown.case.films[0].film))
    case.slot = Slot("", saved)
    return case


def note_ranking(case: Case, label: str, ranking: Ranking) -> None:
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


def _state(case: Case, film: str) -> KeptCase:
    work = FilmWork(
        film=film,
        name=case.public_name,
        turned=INVERTED in case.film.notes,
        draft=case.draft,
        pending=tuple(sorted(case.pending)),
        answers={
            label: {key: item.model_dump(mode="json") for key, item in given.items()}
            for label, given in case.answers.items()
            if given
        },
        facts={key: value for key, value in case.facts.items() if value not in (None, "", [])},
        confirmed=case.confirmed,
        chosen=case.chosen,
    )
    return KeptCase(
        pseudonym=case.pseudonym,
        notes=case.remarks,
        status=_status(case),
        films=(work,),
        photos=case.photos,
    )


def _status(case: Case) -> Status:
    """Return how far the whole case is confirmed: as far as the least proven of its implants."""
    if case.refuted:
        return "refuted"
    rungs = [pair[0] for label, pair in case.standing.items() if label in case.labels]
    if len(rungs) < len(case.labels):
        return "open"
    return min((rung for rung in LADDER if rung in rungs), key=LADDER.index)


def _case(kept: KeptCase, film: Radiograph) -> Case:
    work = kept.films[0]
    case = Case(
        inverted(film) if work.turned else film,
        work.name,
        dict(work.draft),
        pending=frozenset(work.pending),
        answers={
            label: {key: Item.model_validate(item) for key, item in given.items()}
            for label, given in work.answers.items()
        },
        facts=dict(work.facts),
        confirmed=dict(work.confirmed),
        chosen=work.chosen,
    )
    case.pseudonym, case.remarks, case.photos = kept.pseudonym, kept.notes, kept.photos
    case.refuted = kept.status == "refuted"
    case.own = work.name.startswith("Film ")
    return case


def as_read(film: Radiograph) -> Radiograph:
    """Return the film as it lies in its file."""
    # turned by hand is a fact of the work on it, not of the film
    return inverted(film) if INVERTED in film.notes else film
