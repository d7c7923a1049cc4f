"""The facts of a case: what was measured by hand, read, answered and typed, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from features.quantity import Measured
from identify.case_facts import InHand, planning_case
from identify.evidence import Item
from identify.gathering import gather_answers, unread
from identify.knowledge import load_notes
from identify.restore import plan

NOTES = load_notes()
FAMILY = NOTES.families["external_hex_parallel"]
GAUGED = Item(value=4.1, by="bench")


def case_of(implant, **answers):
    evidence = gather_answers("A", answers, NOTES.checklist)
    return planning_case({}, FAMILY, InHand((implant,), evidence), [], known={})


def test_without_a_film_nothing_is_taken_as_measured():
    case = case_of(unread("A", "36"), index=Item(state="present", by="mouth"))
    (implant,) = case.implants
    assert (implant.tooth, implant.platform_width_mm) == ("36", None)
    assert (case.index, case.films) == ("present", ())
    planned = plan(case, NOTES)
    assert planned.options
    assert any("vertical space is not given" in note for note in planned.notes)


def test_a_platform_measured_by_hand_is_planned_with_before_that_of_the_film():
    read = replace(unread("A"), measures={"platform_width_mm": Measured(3.9, 0.05, "mm")})
    assert case_of(read).implants[0].platform_width_mm == 3.9
    assert case_of(read, platform_width_mm=GAUGED).implants[0].platform_width_mm == 4.1


@pytest.mark.parametrize("change", [{"by": "known"}, {"on": "part"}, {"on": "can't tell"}])
def test_a_width_that_is_not_of_the_platform_itself_is_not_planned_with(change):
    given = GAUGED.model_copy(update=change)
    assert case_of(unread("A"), platform_width_mm=given).implants[0].platform_width_mm is None
