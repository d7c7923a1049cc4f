"""From a film and what was done on it to the sheets of its record: the same for app and command."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from features.input_file import BadInput
from features.marks import Marks
from features.radiograph import Radiograph
from features.reading import ImplantReading, Reading, read_film
from identify.case_facts import family_place, planning_case, way_chosen
from identify.confirmation import REFUTED, confirmations, trial_remark
from identify.evidence import Evidence, Item
from identify.film_trust import film_cautions
from identify.gathering import gather
from identify.kept_case import FilmWork, KeptCase
from identify.knowledge import Notes
from identify.next_look import Look, next_looks
from identify.overlay import bar_mm, draw_overlay
from identify.plan_lines import plan_lines
from identify.ranking import Ranking
from identify.record import Sheet
from identify.restore import plan
from identify.screens.marking import finished_marks
from identify.weigh import weigh


@dataclass(frozen=True, slots=True)
class Work:
    """A film, its marks and reading, and what a person adds to the page.

    `confirmed` holds, by implant, the rung of confirmation and the family's title; `facts` what was
    typed and chosen on the screens (`FilmWork.facts`).
    """

    film: Radiograph
    marks: Marks
    reading: Reading
    name: str
    date: str
    typed: Mapping[str, str]
    confirmed: Mapping[str, tuple[str, str]]
    facts: Mapping[str, Any] = field(default_factory=dict)
    refuted: bool = False

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
    marked = next(i for i in work.marks.implants if i.label == implant.label)
    hull = [*marked.platform_px, marked.apex_px]
    scale = work.reading.scale.mm_per_px
    bar = bar_mm(work.film, implant, hull, scale.value) if scale else None
    confirmed = work.standing.get(implant.label)
    family = family_of(implant.label, ranking, confirmed, work.facts, notes)
    return Sheet(
        film_name=work.name.strip(),
        picture_svg=draw_overlay(work.film, implant, hull, scale.value if scale else None),
        reading=work.reading,
        label=implant.label,
        evidence=evidence,
        ranking=ranking,
        looks=tuple(looks),
        date=work.date,
        typed=work.typed,
        confirmed=confirmed_text(confirmed, notes),
        film_cautions=film_cautions(work.film, work.marks, work.reading, implant),
        family_cautions=_family_cautions(family, notes),
        scale_bar=f"{bar:g} mm" if bar else "",
        family=family,
        warnings=work.warnings(implant.label),
    )


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
    film: Radiograph, case: KeptCase, notes: Notes, date: str, typed: Mapping[str, str]
) -> list[Sheet]:
    """Read and weigh a kept film again and return a sheet for every implant marked.

    Raises
    ------
    BadInput
        No implant is marked on this film yet.
    """
    kept = case.films[0]
    size = {"width": film.width, "height": film.height}
    marks = finished_marks(dict(kept.draft), frozenset(kept.pending), **size)
    if marks is None:
        raise BadInput(
            f"{kept.name}: no implant is marked on this film yet; open the case in the app, put "
            "the handles in place, and write the record then."
        )
    reading = read_film(film, marks)
    refuted = case.status == "refuted"
    work = Work(film, marks, reading, kept.name, date, typed, kept.confirmed, kept.facts, refuted)
    return [_read_and_weighed(work, kept, implant, notes) for implant in reading.implants]


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
    work = case.films[0]
    sheet = next((one for one in sheets if one.label == work.chosen), sheets[0])
    family = notes.families[sheet.family]
    facts = planning_case(
        work.facts,
        family,
        [(work.name, sheet.reading)],
        evidence=sheet.evidence,
        known={one.label: (one.family, case.standing.get(one.label)) for one in sheets},
    )
    return plan_lines(plan(facts, notes), way_chosen(work.facts, sheet.label, family.key))


def _read_and_weighed(work: Work, kept: FilmWork, implant: ImplantReading, notes: Notes) -> Sheet:
    given = kept.answers.get(implant.label, {})
    answers = {key: Item.model_validate(item) for key, item in given.items()}
    evidence = gather(work.reading, implant.label, answers, notes.checklist)
    ranking = weigh(evidence, notes)
    return sheet_of(work, implant, evidence, ranking, next_looks(evidence, notes, ranking), notes)


def _family_cautions(key: str, notes: Notes) -> tuple[str, ...]:
    family = notes.families.get(key)
    return family.restoring.cautions if family and family.restoring else ()
