"""One film on the table, with everything a user has done to it. Plain data, no widgets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from features.film import inverted
from features.marks import Marks, Point
from features.radiograph import Radiograph
from identify.evidence import Item
from identify.screens import marking
from identify.screens.answered import Answered
from identify.screens.marking import Draft, Points

KEPT_STEPS = 60
TRUSTED_PLANES = ("patient", "imager")  # a scanned film's spacing is that of the scanner


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of an implant that was taken off, to come back with an undo."""

    answers: dict[str, dict[str, Item]] = field(default_factory=dict)
    facts: dict[str, Any] = field(default_factory=dict)
    confirmed: dict[str, tuple[str, str]] = field(default_factory=dict)


@dataclass(slots=True)
class Case(Answered):
    """Film, marks in the making, and what was said of the implants marked.

    `own` is a user's film, as against a demo film. `rev` goes up whenever the handles were changed
    from here rather than by a drag. `views` holds what is looked at beside the case and is no part
    of it.
    """

    film: Radiograph
    name: str
    draft: Draft
    pending: frozenset[str] = frozenset()
    rev: int = 0
    steps: list[tuple[Draft, frozenset[str], Said]] = field(default_factory=list)
    own: bool = False
    views: dict[str, Any] = field(default_factory=dict)

    @property
    def revision(self) -> str:
        """Names the handles' state across cases, so that none takes over another's marks."""
        return f"{self.serial}:{self.rev}"

    @property
    def public_name(self) -> str:
        """What the film is called in everything kept or printed: its file name may be a patient's.

        A demo film keeps its own.
        """
        return f"Film {self.film.sha256[:6]}" if self.own else self.name.strip()

    @property
    def labels(self) -> list[str]:
        """Labels of all implants, marked or waiting."""
        return [implant["label"] for implant in self.draft["implants"]]

    def marks(self) -> Marks | None:
        """Check the marks of all that is in place (see `marking.finished_marks`)."""
        size = {"width": self.film.width, "height": self.film.height}
        return marking.finished_marks(self.draft, self.pending, **size)

    def hull(self, label: str) -> list[Point]:
        """Return the marked points of one implant, in film px."""
        points = marking.points_of(self.draft)
        return [points[name] for name in marking.implant_ids(label)]

    def turn(self) -> None:
        """Exchange dark and bright: the film came as a negative, or did not after all."""
        self.film = inverted(self.film)

    def move(self, points: Points, handle: str) -> None:
        """Take over a drag; the browser already shows it."""
        self._remember()
        self.draft = marking.with_points(self.draft, points)
        self.pending -= {handle}

    def edit(self, draft: Draft) -> None:
        """Change something that is no handle."""
        self._remember()
        self.draft = draft

    def redraw(self, draft: Draft, said: Said | None = None) -> None:
        """Change which handles there are; new ones wait for a hand. `said` comes back with undo."""
        self._remember(said)
        self.pending |= marking.start_pending(self.draft, draft)
        self.pending &= frozenset(marking.points_of(draft))
        self.draft = draft
        self.rev += 1

    def remove_implant(self, label: str) -> None:
        """Take an implant off with all that was said of it: the next to bear its label is another.

        Undo brings both back.
        """
        said = Said(
            self._take_answers(label),
            {key: self.facts.pop(key) for key in list(self.facts) if label in key.split()},
            {label: self.confirmed.pop(label)} if label in self.confirmed else {},
        )
        self.redraw(marking.without_implant(self.draft, label), said)
        self.chosen = self.labels[0]

    def _take_answers(self, label: str) -> dict[str, dict[str, Item]]:
        """Take out what was answered of an implant, and what others were said to share with it."""
        taken = {label: self.answers.pop(label)} if label in self.answers else {}
        for other, given in self.answers.items():
            shared = {key: item for key, item in given.items() if item.beside == label}
            for key in shared:
                del given[key]
            taken |= {other: shared} if shared else {}
        return taken

    def propose(self, draft: Draft, labels: Sequence[str]) -> None:
        """Move handles to proposed places, where they wait for a hand."""
        self._remember()
        self.draft = draft
        self.pending |= {name for label in labels for name in marking.implant_ids(label)}
        self.rev += 1

    def accept_places(self) -> None:
        """All handles stand right where they are."""
        self._remember()
        self.pending = frozenset()

    def undo(self) -> None:
        """Go back one step."""
        if self.steps:
            self.draft, self.pending, said = self.steps.pop()
            for label, items in said.answers.items():
                self.answers.setdefault(label, {}).update(items)
            self.facts |= said.facts
            self.confirmed |= said.confirmed
            self.rev += 1

    def _remember(self, said: Said | None = None) -> None:
        self.steps.append((self.draft, self.pending, said or Said()))
        del self.steps[:-KEPT_STEPS]


def unmarked_case(film: Radiograph, name: str) -> Case:
    """Start a user's own film: handles in the middle, all waiting."""
    crown_up = marking.crown_is_up(film)
    draft = marking.start_draft(film.width, film.height, crown_up=crown_up)
    if film.spacing and film.spacing.plane in TRUSTED_PLANES:
        draft["scale"] = {"kind": "dicom"}
    return Case(film, name, draft, pending=frozenset(marking.points_of(draft)), own=True)


def marked_case(film: Radiograph, name: str, marks: Marks) -> Case:
    """Start a film that came with its marks."""
    case = Case(film, name, marking.draft_from(marks))
    case.chosen = case.labels[0]
    return case
