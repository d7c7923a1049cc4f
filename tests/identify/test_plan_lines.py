"""A plan as lines: the way chosen alone says which parts; a stop leaves nothing to choose."""

from __future__ import annotations

from dataclasses import replace

import pytest

from identify.case_file import Case
from identify.knowledge import load_notes
from identify.plan_lines import parts_of, plan_lines, ways_open
from identify.plan_words import way_key, way_title
from identify.restore import plan
from tests.identify.planned_cases import NO_INDEX


@pytest.fixture(scope="module")
def planned():
    return plan(Case.model_validate(NO_INDEX), load_notes())


def test_parts_are_those_of_the_way_chosen(planned):
    kinds = {}
    for option in ways_open(planned):
        kinds[way_key(option)] = {str(part["kind"]) for part in option.parts}
        assert {kind for kind, _ in parts_of(planned, way_key(option))} == kinds[way_key(option)]
    assert len({frozenset(some) for some in kinds.values()}) > 1  # or nothing is shown by this
    assert plan_lines(planned, next(iter(kinds)))["chosen"] == way_title(ways_open(planned)[0])


def test_a_way_that_does_not_suit_is_not_open_and_cannot_have_been_chosen(planned):
    unfit = [option for option in planned.options if option.verdict == "does_not_suit"]
    assert unfit
    assert not {way_key(one) for one in ways_open(planned)} & {way_key(one) for one in unfit}
    assert plan_lines(planned, way_key(unfit[0]))["chosen"] == ""


def test_a_stop_leaves_no_way_and_no_part(planned):
    stopped = replace(planned, stop="The implant moves.")
    assert ways_open(stopped) == []
    assert plan_lines(stopped, way_key(planned.options[0]))["parts"] == []
