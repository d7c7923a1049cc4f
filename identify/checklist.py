"""What can be measured, seen, felt or known, as frozen objects (checklist.toml)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from typing import Literal

from pydantic import Field, model_validator

from features.input_file import StrictModel
from identify.note import Fact, Setting, Standed, checked_distribution
from identify.trust import FLOOR, Trust

NOTHING_READ = "not assessable"  # read, in a reader's table: nothing that tells the states apart


class FilmReader(Standed):
    """How far a reading of the film is to be trusted: counted on films whose truth is known.

    Attributes
    ----------
    astray : float
        Share of numbers that are of something other than what they are taken for.
    sharp, narrow : float
        Share of the other numbers that err by only `narrow` times the uncertainty they state.
    sure_from : tuple of float
        Stated probabilities at which a reading begins to count as surer; ascending.
    read_as : mapping
        For each true state, how often each state is read, by how sure the reading says it is
        (one share more than `sure_from` has limits), or nothing (`NOTHING_READ`, one share).
    """

    astray: float = Field(default=FLOOR, gt=0, lt=0.5)
    sharp: float = Field(default=0.0, ge=0, lt=1)
    narrow: float = Field(default=1.0, gt=0, le=1)
    sure_from: tuple[float, ...] = ()
    read_as: Mapping[str, Mapping[str, tuple[float, ...]]] = Field(default_factory=dict)

    @property
    def trust(self) -> Trust:
        """As the likelihood of a number takes it."""
        return Trust(self.astray, self.sharp, self.narrow)

    def said(self, state: str, probability: float) -> dict[str, float]:
        """How often `state` is read as surely as this where each state is the true one."""
        band = bisect_right(self.sure_from, probability)
        return {true: row[state][band] for true, row in self.read_as.items()}

    @model_validator(mode="after")
    def _shares_sum_to_one(self) -> FilmReader:
        for row in self.read_as.values():
            checked_distribution({read: sum(shares) for read, shares in row.items()})
            for read, shares in row.items():
                if len(shares) != (1 if read == NOTHING_READ else len(self.sure_from) + 1):
                    raise ValueError("'reader.read_as' needs a share for each part of 'sure_from'")
        return self


class ChecklistItem(StrictModel):
    """One thing that can be measured, seen, felt or known.

    Attributes
    ----------
    kind : str
        ``length`` (shares the film's scale), ``angle``, ``form``, ``finding``, ``number``.
    states : tuple of str
        For forms and findings, `silent` ones included.
    silent : tuple of str
        States that say nothing of the family (``covered``): equally likely in all of them.
    asked_of : tuple of str
        Where a person can answer: ``eye`` (on the film), ``mouth``, ``bench``, ``known``.
    together : str
        Name of the group of items that move together and must count once.
    broad : NumberFact or StateFact
        What "none of these" expects.
    ratio : str
        Key of the same length as a ratio to the coronal width.
    along_axis : bool
        A length that the tilt of the beam stretches or shortens.
    only_covered : bool
        Can be judged only while something is seated on the implant.
    reader : FilmReader or None
        How often the film's own reading of it is astray; None where that is not known.
    shows_connection : bool
        Answered by hand, it is the connection that was seen; False for screws and drivers.
    connection_on_film : bool
        Seen on the film, it is the connection that was seen; told of its groups within a family.
    alike : Setting or None
        The item is another implant of the case: how often two such are of one family.
    by_hand_std : Setting or None
        Standard uncertainty of a number measured by hand and given without one, in its unit.
    effort, harm : int
        0-3: to get an answer, and what getting it may do.
    needed : bool
        Must every family's note state it?
    """

    key: str
    label: str
    kind: Literal["length", "angle", "form", "finding", "number"]
    unit: Literal["mm", "deg", "year", ""] = ""
    states: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    question: str = ""
    asked_of: tuple[Literal["eye", "mouth", "bench", "known"], ...] = ()
    together: str = ""
    broad: Fact
    ratio: str = ""
    along_axis: bool = False
    only_covered: bool = False
    reader: FilmReader | None = None
    shows_connection: bool = True
    connection_on_film: bool = False
    alike: Setting | None = None
    by_hand_std: Setting | None = None
    help: str = Field(min_length=10)
    effort: int = Field(ge=0, le=3)
    harm: int = Field(ge=0, le=3)
    needed: bool = False

    @model_validator(mode="after")
    def _has_states_or_is_a_number(self) -> ChecklistItem:
        if self.is_number == bool(self.states):
            raise ValueError("a form or finding needs 'states'; a number has none")
        if bool(self.question) != bool(self.asked_of):
            raise ValueError("'question' and 'asked_of' come together")
        if self.by_hand_std and not self.is_number:
            raise ValueError("'by_hand_std' belongs to a number")
        if self.alike and self.alike.value >= 1:
            raise ValueError("'alike' is a share below 1: nothing is certain")
        if self.reader and self.reader.read_as:
            self._check_reader(self.reader)
        return self

    def _check_reader(self, reader: FilmReader) -> None:
        telling = {state for state in self.states if state not in self.silent}
        rows = [set(row) - {NOTHING_READ} for row in reader.read_as.values()]
        if any(states != telling for states in (set(reader.read_as), *rows)):
            raise ValueError(f"'reader.read_as' needs every one of {', '.join(sorted(telling))}")

    @property
    def is_number(self) -> bool:
        """A value rather than a state."""
        return self.kind in ("length", "angle", "number")


class Inquiry(Standed):
    """A question that leads to a record rather than to an observation.

    `tells` is how often it is answered in a way that settles the family.
    """

    key: str
    question: str = Field(min_length=10)
    why: str = Field(min_length=10)
    tells: float = Field(gt=0, lt=1)
    effort: int = Field(ge=0, le=3)
    harm: int = Field(ge=0, le=3)


class Exposure(Standed):
    """What another film would show, offered only where one is due for other reasons.

    `shows` are the items that may be read then.
    """

    question: str = Field(min_length=10)
    why: str = Field(min_length=10)
    shows: tuple[str, ...]
    effort: int = Field(ge=0, le=3)
    harm: int = Field(ge=0, le=3)


class VerdictRule(StrictModel):
    """When a family is called so: at or above this probability."""

    word: str
    at_least: float = Field(ge=0, lt=1)


class Checklist(StrictModel):
    """All items, and the numbers that turn points into words."""

    items: Mapping[str, ChecklistItem]
    prior_none: float = Field(gt=0, lt=1)
    prior_not_an_implant: float = Field(gt=0, lt=1)
    contradicted_points: float = Field(lt=0)
    contradicted_probability: float = Field(gt=0, lt=1)
    contradicted_word: str
    verdicts: tuple[VerdictRule, ...]
    not_assessable: tuple[str, ...]
    inquiries: tuple[Inquiry, ...] = ()
    exposures: tuple[Exposure, ...] = ()

    def word(self, probability: float, least_points: float) -> str:
        """Find the verdict word from a family's probability and its worst item in points."""
        if least_points <= self.contradicted_points or probability < self.contradicted_probability:
            return self.contradicted_word
        return next(rule.word for rule in self.verdicts if probability >= rule.at_least)
