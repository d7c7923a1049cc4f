"""A case as the casebook writes it: the whole state of a piece of work, as plain data."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Literal

from pydantic import Field, field_validator

from features.input_file import BadInput, StrictModel, check
from identify.confirmation import confirmations
from identify.rules import Rung

Status = Literal["open", "refuted"] | Rung
LONGEST_TEXT = 20000


class FilmWork(StrictModel):
    """One film and everything a person did to it. `film` is its name in the film store."""

    film: str = Field(pattern=r"^[0-9a-f]{64}$")
    name: str = Field(default="film", max_length=200)
    turned: bool = False
    draft: Mapping[str, Any]
    pending: tuple[str, ...] = ()
    answers: Mapping[str, Mapping[str, Any]] = Field(default_factory=dict)
    facts: Mapping[str, Any] = Field(default_factory=dict)
    confirmed: Mapping[str, tuple[str, str]] = Field(default_factory=dict)
    chosen: str = "A"

    @field_validator("facts")
    @classmethod
    def _without_file_names(cls, facts: Mapping[str, Any]) -> Mapping[str, Any]:
        # exports of an earlier version hold a second film's name, which may be a patient's
        return {key: said for key, said in facts.items() if not key.startswith("second film ")}

    @property
    def teeth(self) -> tuple[str, ...]:
        """FDI numbers of the implants marked, where given."""
        implants = self.draft.get("implants", ())
        return tuple(i["tooth"] for i in implants if i.get("tooth"))


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
    photos: tuple[Photo, ...] = ()
    chosen_film: int = Field(default=0, ge=0)

    @property
    def teeth(self) -> tuple[str, ...]:
        """FDI numbers of all implants, each once."""
        return tuple(dict.fromkeys(tooth for film in self.films for tooth in film.teeth))

    @property
    def standing(self) -> Mapping[str, tuple[str, str]]:
        """Confirmations that hold on the first film, by implant: a refuted case has none."""
        if not self.films:
            return {}
        work = self.films[0]
        return confirmations(work.confirmed, work.facts, refuted=self.status == "refuted")

    @property
    def searchable(self) -> str:
        """All words a case can be found by, case folded."""
        names = (film.name for film in self.films)
        shown = (photo.shows for photo in self.photos)
        confirmed = (family for film in self.films for _, family in film.confirmed.values())
        words = (self.pseudonym, self.notes, self.status, *self.teeth, *names, *shown, *confirmed)
        return " ".join(words).casefold()

    @property
    def files(self) -> frozenset[str]:
        """Names of all films and photographs the case holds, in the film store."""
        return frozenset(film.film for film in self.films) | {p.file for p in self.photos}


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
