"""A case of the session as the casebook writes it, and back: with its film, or without one."""

from __future__ import annotations

from typing import Any

from features.film import INVERTED, inverted
from features.radiograph import Radiograph
from identify.confirmation import LADDER
from identify.evidence import Item
from identify.film_store import FilmStore
from identify.kept_case import FilmWork, ImplantWork, KeptCase, Status, UnfilmedWork
from identify.screens.case import Case
from identify.screens.unfilmed import Unfilmed

EitherCase = Case | Unfilmed


def state_of(case: EitherCase, film: str) -> KeptCase:
    """Return the whole state; `film` is the film's name in the film store."""
    return KeptCase(
        pseudonym=case.pseudonym,
        notes=case.remarks,
        status=_status(case),
        photos=case.photos,
        **_work(case, film),
    )


def _work(case: EitherCase, film: str) -> dict[str, Any]:
    said: dict[str, Any] = {
        "answers": {
            label: {key: item.model_dump(mode="json") for key, item in given.items()}
            for label, given in case.answers.items()
            if given
        },
        "facts": {key: value for key, value in case.facts.items() if value not in (None, "", [])},
        "confirmed": case.confirmed,
        "chosen": case.chosen,
    }
    if isinstance(case, Unfilmed):
        return {"unfilmed": UnfilmedWork(tooth=case.tooth, **said)}
    work = FilmWork(
        film=film,
        name=case.public_name,
        turned=INVERTED in case.film.notes,
        draft=case.draft,
        pending=tuple(sorted(case.pending)),
        **said,
    )
    return {"films": (work,)}


def _status(case: EitherCase) -> Status:
    """Return how far the whole case is confirmed: as far as the least proven of its implants."""
    if case.refuted:
        return "refuted"
    rungs = [pair[0] for label, pair in case.standing.items() if label in case.labels]
    if len(rungs) < len(case.labels):
        return "open"
    return min((rung for rung in LADDER if rung in rungs), key=LADDER.index)


def case_of(kept: KeptCase, films: FilmStore) -> EitherCase:
    """Take a kept case up again.

    Raises
    ------
    BadInput
        Its film is missing or damaged.
    """
    work = kept.work
    case = _filmed(work, films) if isinstance(work, FilmWork) else Unfilmed(tooth=work.tooth)
    _take_up(case, work)
    case.pseudonym, case.remarks, case.photos = kept.pseudonym, kept.notes, kept.photos
    case.refuted = kept.status == "refuted"
    return case


def _filmed(work: FilmWork, films: FilmStore) -> Case:
    film = films.get(work.film)
    return Case(
        inverted(film) if work.turned else film,
        work.name,
        dict(work.draft),
        pending=frozenset(work.pending),
        own=work.name.startswith("Film "),
    )


def _take_up(case: EitherCase, work: ImplantWork) -> None:
    case.answers = {
        label: {key: Item.model_validate(item) for key, item in given.items()}
        for label, given in work.answers.items()
    }
    case.facts, case.confirmed, case.chosen = dict(work.facts), dict(work.confirmed), work.chosen


def as_read(film: Radiograph) -> Radiograph:
    """Return the film as it lies in its file."""
    # turned by hand is a fact of the work on it, not of the film
    return inverted(film) if INVERTED in film.notes else film
