"""From a case to the sheets of its record and its plan: the same for app and command."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from features.input_file import BadInput
from features.marks import Marks
from features.radiograph import Radiograph
from features.reading import ImplantReading, Reading, read_film
from identify.case_facts import InHand, family_place, planning_case, way_chosen
from identify.checklist import Checklist
from identify.confirmation import REFUTED, confirmations, trial_remark
from identify.evidence import Evidence, Item
from identify.film_trust import film_cautions
from identify.gathering import gather, gather_answers, unread
from identify.kept_case import FilmWork, ImplantWork, KeptCase
from identify.knowledge import Notes
from identify.next_look import Look, next_looks, without_film
from identify.overlay import bar_mm, draw_overlay
from identify.plan_lines import plan_lines
from identify.ranking import Ranking
from identify.restore import plan
from identify.screens.marking import finished_marks
from identify.sheet import Sheet
from identify.weigh import weigh


@dataclass(frozen=True, slots=True)
class Filmed:
    """A film, its marks and reading."""

    film: Radiograph
    marks: Marks
    reading: Reading


@dataclass(frozen=True, slots=True)
class Work:
    """What a person adds to the page; and the film, where there was one.

    `confirmed` holds, by implant, the rung of confirmation and the family's title; `facts` what was
    typed and chosen on the screens (`ImplantWork.facts`).
    """

    name: str
    date: str
    typed: Mapping[str, str]
    confirmed: Mapping[str, tuple[str, str]]
    facts: Mapping[str, Any] = field(default_factory=dict)
    refuted: bool = False
    filmed: Filmed | None = None

    @property
    def standing(self) -> dict[str, tuple[str, str]]:
        """Confirmations that hold."""
        return confirmations(self.confirmed, self.facts, refuted=self.refuted)

    def warnings(self, label: str) -> tuple[str, ...]:
        """What speaks against everything said of an implant."""
        said = (REFUTED if self.refuted else "", trial_remark(label, self.facts))
        return tuple(filter(None, said))


def sheet_of(
    work: Work,
    implant: ImplantReading,
    evidence: Evidence,
    ranking: Ranking,
    looks: Sequence[Look],
    notes: Notes,
) -> Sheet:
    """Return one implant's sheet."""
    confirmed = work.standing.get(implant.label)
    family = family_of(implant.label, ranking, confirmed, work.facts, notes)
    return Sheet(
        film_name=work.name.strip(),
        label=implant.label,
        tooth=implant.tooth or "",
        evidence=evidence,
        ranking=ranking,
        looks=tuple(looks),
        date=work.date,
        typed=work.typed,
        confirmed=confirmed_text(confirmed, notes),
        family_cautions=_family_cautions(family, notes),
        family=family,
        warnings=work.warnings(implant.label),
        **(_shown_on(work.filmed, implant) if work.filmed else {}),
    )


def _shown_on(filmed: Filmed, implant: ImplantReading) -> dict[str, Any]:
    """Return the part of a sheet that only a film gives."""
    film, marks, reading = filmed.film, filmed.marks, filmed.reading
    marked = next(i for i in marks.implants if i.label == implant.label)
    hull = [*marked.platform_px, marked.apex_px]
    scale = reading.scale.mm_per_px
    bar = bar_mm(film, implant, hull, scale.value) if scale else None
    return {
        "reading": reading,
        "picture_svg": draw_overlay(film, implant, hull, scale.value if scale else None),
        "scale_bar": f"{bar:g} mm" if bar else "",
        "film_cautions": film_cautions(film, marks, reading, implant),
    }


def family_of(
    label: str,
    ranking: Ranking,
    confirmed: tuple[str, str] | None,
    facts: Mapping[str, Any],
    notes: Notes,
) -> str:
    """Return the key of the family that a plan, its parts and its cautions are about.

    The confirmed one; else the one chosen to look at; else the best supported.
    """
    titles = {support.title: support.key for support in ranking.families}
    if confirmed and confirmed_text(confirmed, notes) and confirmed[1] in titles:
        return titles[confirmed[1]]
    chosen = str(facts.get(family_place(label)) or "")
    return chosen if chosen in titles.values() else ranking.families[0].key


def confirmed_text(confirmed: tuple[str, str] | None, notes: Notes) -> str:
    """Words for a confirmation that lets parts be ordered; empty for any lower rung."""
    kind, family = confirmed or ("", "")
    rung = next((r for key, r in notes.rules.confirmation.items() if key == kind), None)
    return f"{family}, by {rung.label}" if rung and rung.parts_may_be_ordered else ""


def kept_sheets(
    film: Radiograph | None, case: KeptCase, notes: Notes, date: str, typed: Mapping[str, str]
) -> list[Sheet]:
    """Read and weigh a kept case again and return a sheet for every implant.

    Parameters
    ----------
    film : Radiograph or None
        None for a case without a film.

    Raises
    ------
    BadInput
        No implant is marked on this film yet; or there is none, and nothing is answered.
    """
    kept = case.work
    filmed = _read_again(film, kept) if film and isinstance(kept, FilmWork) else None
    refuted = case.status == "refuted"
    work = Work(kept.name, date, typed, kept.confirmed, kept.facts, refuted, filmed)
    implants = filmed.reading.implants if filmed else (unread(kept.chosen, *kept.teeth),)
    return [_weighed(work, kept, implant, notes) for implant in implants]


def _read_again(film: Radiograph, kept: FilmWork) -> Filmed:
    size = {"width": film.width, "height": film.height}
    marks = finished_marks(dict(kept.draft), frozenset(kept.pending), **size)
    if marks is None:
        raise BadInput(
            f"{kept.name}: no implant is marked on this film yet; open the case in the app, put "
            "the handles in place, and write the record then."
        )
    return Filmed(film, marks, read_film(film, marks))


def kept_plan(case: KeptCase, sheets: Sequence[Sheet], notes: Notes) -> dict[str, Any] | None:
    """Plan anew for the implant in hand when the case was kept, as lines for its record.

    None for a refuted case: there is nothing to plan on.

    Raises
    ------
    BadInput
        When the facts contradict each other.
    """
    if case.status == "refuted":
        return None
    work = case.work
    sheet = next((one for one in sheets if one.label == work.chosen), sheets[0])
    family = notes.families[sheet.family]
    facts = planning_case(
        work.facts,
        family,
        InHand(tuple(one.implant for one in sheets), sheet.evidence),
        [(work.name, sheet.reading)] if sheet.reading else [],
        known={one.label: (one.family, case.standing.get(one.label)) for one in sheets},
    )
    return plan_lines(plan(facts, notes), way_chosen(work.facts, sheet.label, family.key))


def _weighed(work: Work, kept: ImplantWork, implant: ImplantReading, notes: Notes) -> Sheet:
    given = kept.answers.get(implant.label, {})
    answers = {key: Item.model_validate(item) for key, item in given.items()}
    evidence = _evidence(work, implant.label, answers, notes.checklist)
    ranking = weigh(evidence, notes)
    looks = next_looks(evidence, notes, ranking)
    if work.filmed is None:
        looks = without_film(looks, notes.checklist)
    return sheet_of(work, implant, evidence, ranking, looks, notes)


def _evidence(
    work: Work, label: str, answers: Mapping[str, Item], checklist: Checklist
) -> Evidence:
    if work.filmed:
        return gather(work.filmed.reading, label, answers, checklist)
    evidence = gather_answers(label, answers, checklist)
    if not evidence.items:
        raise BadInput(
            f"{work.name}: nothing is answered of this implant yet; answer what you can on the "
            "screen No film, and write the record then."
        )
    return evidence


def _family_cautions(key: str, notes: Notes) -> tuple[str, ...]:
    family = notes.families.get(key)
    return family.restoring.cautions if family and family.restoring else ()
