"""A case as the casebook writes it: the whole state of a piece of work, as plain data."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Literal

from pydantic import Field, field_validator

from features.input_file import BadInput, StrictModel, check
from features.marks import FDI_TEETH
from identify.confirmation import confirmations
from identify.evidence import ON_THE_FILM, Evidence
from identify.rules import Rung

Status = Literal["open", "refuted"] | Rung
LONGEST_TEXT = 20000
NO_FILM = "No film"  # what a case without one is called where others have a film's name


class ImplantWork(StrictModel):
    """What a person said of implants: answers by label, facts for the plan, confirmations."""

    answers: Mapping[str, Mapping[str, Any]] = Field(default_factory=dict)
    facts: Mapping[str, Any] = Field(default_factory=dict)
    confirmed: Mapping[str, tuple[str, str]] = Field(default_factory=dict)
    chosen: str = "A"

    @field_validator("facts")
    @classmethod
    def _without_file_names(cls, facts: Mapping[str, Any]) -> Mapping[str, Any]:
        # exports of an earlier version hold a second film's name, which may be a patient's
        return {key: said for key, said in facts.items() if not key.startswith("second film ")}


class FilmWork(ImplantWork):
    """One film and everything a person did to it. `film` is its name in the film store."""

    film: str = Field(pattern=r"^[0-9a-f]{64}$")
    name: str = Field(default="film", max_length=200)
    turned: bool = False
    draft: Mapping[str, Any]
    pending: tuple[str, ...] = ()

    @property
    def teeth(self) -> tuple[str, ...]:
        """FDI numbers of the implants marked, where given."""
        implants = self.draft.get("implants", ())
        return tuple(i["tooth"] for i in implants if i.get("tooth"))


class UnfilmedWork(ImplantWork):
    """An implant that no film shows, and what a person said of it."""

    tooth: str = ""

    @field_validator("tooth")
    @classmethod
    def _is_fdi(cls, tooth: str) -> str:
        if not tooth or tooth in FDI_TEETH:
            return tooth
        raise ValueError("must be an FDI tooth number such as 36 (ISO 3950), or be left empty")

    @property
    def name(self) -> str:
        """What it is called where others have a film's name."""
        return NO_FILM

    @property
    def teeth(self) -> tuple[str, ...]:
        """Its FDI number, where given."""
        return (self.tooth,) if self.tooth else ()


class Photo(StrictModel):
    """A photograph that belongs to a case."""

    file: str = Field(pattern=r"^[0-9a-f]{64}\.jpg$")
    shows: str = Field(default="", max_length=200)


class KeptCase(StrictModel):
    """`case-state/1`. Who the patient is, is nobody's business here: a pseudonym is enough."""

    radiofixture: Literal["case-state/1"] = "case-state/1"
    pseudonym: str = Field(default="", max_length=80)
    notes: str = Field(default="", max_length=LONGEST_TEXT)
    status: Status = "open"
    films: tuple[FilmWork, ...] = ()
    # left out where there is none: cases kept before are written as they were
    unfilmed: UnfilmedWork | None = Field(default=None, exclude_if=lambda work: work is None)
    photos: tuple[Photo, ...] = ()
    chosen_film: int = Field(default=0, ge=0)

    @property
    def works(self) -> tuple[FilmWork | UnfilmedWork, ...]:
        """All that was worked on; where there is no film, the implant that none shows."""
        return self.films or (self.unfilmed or UnfilmedWork(),)

    @property
    def work(self) -> FilmWork | UnfilmedWork:
        """The first of them: what a session has in hand."""
        return self.works[0]

    @property
    def names(self) -> str:
        """What its films are called, or that there is none."""
        return ", ".join(work.name for work in self.works)

    @property
    def teeth(self) -> tuple[str, ...]:
        """FDI numbers of all implants, each once."""
        return tuple(dict.fromkeys(tooth for work in self.works for tooth in work.teeth))

    @property
    def standing(self) -> Mapping[str, tuple[str, str]]:
        """Confirmations that hold on the first film, by implant: a refuted case has none."""
        work = self.work
        return confirmations(work.confirmed, work.facts, refuted=self.status == "refuted")

    @property
    def searchable(self) -> str:
        """All words a case can be found by, case folded."""
        shown = (photo.shows for photo in self.photos)
        confirmed = (family for work in self.works for _, family in work.confirmed.values())
        named = (self.pseudonym, self.notes, self.status, self.names)
        words = (*named, *self.teeth, *shown, *confirmed)
        return " ".join(words).casefold()

    @property
    def files(self) -> frozenset[str]:
        """Names of all films and photographs the case holds, in the film store."""
        return frozenset(film.film for film in self.films) | {p.file for p in self.photos}


def case_of_answers(evidence: Evidence, called: str) -> KeptCase:
    """Make a case of an evidence file: answers on an implant that no film shows.

    Raises
    ------
    BadInput
        Some of it was read off a film.
    """
    aside = {key: one.item for key, one in evidence.set_aside.items() if one.item}
    given = {**aside, **evidence.items}
    if read := [key for key, item in given.items() if item.by in ON_THE_FILM]:
        raise BadInput(
            f"{called}: '{read[0]}' was read off a film; name the case that holds the film, or "
            "leave out what was read off it."
        )
    label = evidence.label or "A"
    answers = {label: {key: item.model_dump(mode="json") for key, item in given.items()}}
    return KeptCase(unfilmed=UnfilmedWork(answers=answers, chosen=label))


def case_to_json(case: KeptCase) -> str:
    """One line of JSON; the same case gives the same text."""
    return json.dumps(
        case.model_dump(mode="json"), ensure_ascii=False, sort_keys=True, allow_nan=False
    )


def case_from_json(text: str, called: str) -> KeptCase:
    """Read a state back.

    Raises
    ------
    BadInput
        It is damaged; the sentence says where.
    """
    try:
        data = json.loads(text)
    except ValueError:
        raise BadInput(f"{called}: its entry is damaged; restore a backup.") from None
    return check(KeptCase, data, called)
