"""What stands on the record of one implant, with its film or without one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from features.reading import ImplantReading, Reading
from identify.evidence import Evidence
from identify.gathering import unread
from identify.next_look import Look
from identify.ranking import Ranking, Support
from identify.words import percent, scale_text

FILMED = "Implant on a radiograph: what was read and weighed"
UNFILMED = "Implant without a film: what was answered and weighed"
NO_FILM_SAID = "There was no film: nothing was measured on one. What a person answered was weighed."


@dataclass(frozen=True, slots=True)
class Sheet:
    """What goes on the page.

    Attributes
    ----------
    film_name : str
        What the film is called; a demo film says so.
    picture_svg : str
        The film with its overlay, complete in itself (`overlay.draw_overlay`); empty without one.
    reading : Reading or None
        None where there was no film.
    tooth : str
        FDI number of an implant that no film shows, where given.
    date : str
        Of the record, as it is to be printed.
    typed : mapping of str to str
        What a person typed, label to text (patient, case number, remarks). Printed only if given.
    confirmed : str
        How the family was confirmed, in words; empty while it is not.
    film_cautions, family_cautions : tuple of str
        What limits this film; what to beware of with the leading family.
    scale_bar : str
        How long the bar in the picture is, in words; empty where there is no scale.
    family : str
        Key of the family that the cautions, the points and the plan are about.
    warnings : tuple of str
        What speaks against the whole: a case marked as refuted, a trial part that bound.
    """

    film_name: str
    label: str
    evidence: Evidence
    ranking: Ranking
    looks: tuple[Look, ...]
    date: str
    typed: Mapping[str, str]
    reading: Reading | None = None
    picture_svg: str = ""
    tooth: str = ""
    confirmed: str = ""
    film_cautions: tuple[str, ...] = ()
    family_cautions: tuple[str, ...] = ()
    scale_bar: str = ""
    family: str = ""
    warnings: tuple[str, ...] = ()

    @property
    def subject(self) -> Support:
        """The family the points are for: that of the plan, else the best supported."""
        known = (one for one in self.ranking.families if one.key == self.family)
        return next(known, self.ranking.families[0])

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to beware of, on this film and with this family."""
        if not self.family_cautions:
            return self.film_cautions
        return (*self.film_cautions, f"{self.subject.title}: {' '.join(self.family_cautions)}")

    @property
    def verdict(self) -> str:
        """What the film says; beside a confirmation no more than which family it favours."""
        if not self.confirmed:
            return self.ranking.verdict.sentence
        best = self.ranking.families[0]
        return f"On the evidence without it: {best.title}, {percent(best.probability)}."

    @property
    def next_looks(self) -> tuple[Look, ...]:
        """What to look at next; nothing once the family is confirmed."""
        return () if self.confirmed else self.looks

    @property
    def implant(self) -> ImplantReading:
        """The implant this record is about."""
        if self.reading is None:
            return unread(self.label, self.tooth)
        return next(i for i in self.reading.implants if i.label == self.label)

    @property
    def title(self) -> str:
        """What the page is headed."""
        return FILMED if self.reading else UNFILMED

    @property
    def no_film(self) -> str:
        """That there was no film; empty where there was one."""
        return "" if self.reading else NO_FILM_SAID

    @property
    def scale(self) -> str:
        """What millimetres on the film rest on; empty without one."""
        return scale_text(self.reading.scale) if self.reading else ""

    @property
    def film_hash(self) -> str:
        """SHA-256 of the film's file; empty without one."""
        return self.reading.sha256 if self.reading else ""
