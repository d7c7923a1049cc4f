"""The matching of conditions knows no dental words: it is tried on any."""

from __future__ import annotations

import pytest

from identify.when import Facts, When

FACTS = Facts(
    {"indication": frozenset({"single"}), "group": frozenset({"cone", "no_index"})},
    {"space_mm": 6.0},
)


@pytest.mark.parametrize(
    ("when", "fits"),
    [
        ({}, True),
        ({"indication": ["single", "splinted"]}, True),
        ({"indication": ["splinted"]}, False),
        ({"group": ["no_index"]}, True),
        ({"indication": ["single"], "group": ["one_piece"]}, False),
        ({"not_abutment": ["designed"]}, True),
        ({"contacts": ["none"]}, False),  # not known holds nowhere
        ({"space_mm_below": 6.1}, True),
        ({"space_mm_below": 6.0}, False),
        ({"tissue_mm_from": 0.0}, False),
    ],
)
def test_a_rule_speaks_where_all_its_entries_hold(when, fits) -> None:
    assert When.model_validate(when).fits(FACTS) is fits


def test_from_holds_at_its_own_limit() -> None:
    facts = Facts({}, {"tissue_mm": 3.0})
    assert When(tissue_mm_from=3.0).fits(facts)
    assert not When(tissue_mm_from=3.01).fits(facts)


def test_not_holds_where_none_of_its_words_is_a_fact() -> None:
    facts = Facts({"abutment": frozenset({"own_thread", "designed"})})
    assert When(abutment=("own_thread",)).fits(facts)
    assert not When(abutment=("own_thread",), not_abutment=("designed",)).fits(facts)
    assert When(not_abutment=("fixed",)).fits(facts)
