"""What a shelf row may say, and which parts are found for a platform and a depth of tissue."""

import pytest
from pydantic import ValidationError

from identify.shelf import STATES, parts_for
from tests.identify.shelves import FAMILY, part, shelf, size

ALDER = (size("3.5", platform_width_mm=3.5), size("4.0"))


@pytest.mark.parametrize(
    ("entry", "value", "says"),
    [
        ("platform_width_mm", 0.0, "greater than or equal"),
        ("platform_width_mm", 60, "less than or equal"),
        ("platform_width_mm", "wide", "write it like 4.2"),
        ("lengths_mm", (10, 0), "greater than or equal"),
        ("index", "maybe", "present"),
        ("system", "", "at least 1"),
        ("system", "=1+1", "takes for a formula"),
        ("note", "a\x07b", "cannot be printed"),
        ("colour", "grey", "not permitted"),
    ],
)
def test_a_size_that_cannot_be_is_refused(entry, value, says):
    with pytest.raises(ValidationError, match=says):
        size(**{entry: value})


def test_a_size_needs_one_width_at_least():
    assert size(platform_width_mm=None, body_width_mm=3.9).platform_width_mm is None
    with pytest.raises(ValidationError, match="needs 'platform_width_mm' or 'body_width_mm'"):
        size(platform_width_mm=None)


def test_lengths_come_in_order_and_once():
    assert size(lengths_mm=(12, 8, 12)).lengths_mm == (8, 12)


@pytest.mark.parametrize(
    ("entry", "value", "says"),
    [
        ("state", "gone", "in stock"),
        ("height_mm", -1, "greater than or equal"),
        ("angle_deg", 90, "less than or equal"),
        ("checked_on", "3/4/2026", "write it like 2026-09-14"),
        ("checked_on", "2026-02-30", "write it like"),
    ],
)
def test_a_part_that_cannot_be_is_refused(entry, value, says):
    with pytest.raises(ValidationError, match=says):
        part(**{entry: value})


@pytest.mark.parametrize("written", ["2026-09-14", "14.9.2026", "14.09.2026"])
def test_a_date_is_read_where_it_has_one_meaning(written):
    assert part(checked_on=written).checked_on.isoformat() == "2026-09-14"


def test_parts_are_those_of_the_family_and_platform():
    other = size("x", system="Birch", family="tri_channel")
    own = shelf(
        *ALDER,
        other,
        part(),
        part(platform_width_mm=3.5),
        part("driver", platform_width_mm=None),
        part(system="Birch"),
    )
    found = parts_for(own, FAMILY, 4.0)
    assert [(p.system, p.kind, p.platform_width_mm) for p in found] == [
        ("Alder", "driver", None),
        ("Alder", "replica", 4.0),
    ]
    assert {p.platform_width_mm for p in parts_for(own, FAMILY)} == {None, 3.5, 4.0}
    assert parts_for(own, FAMILY, 4.5) == []
    assert parts_for(own, "ceramic", 4.0) == []


def test_a_measured_width_finds_parts_within_what_it_may_be_off():
    own = shelf(*ALDER, part())
    assert parts_for(own, FAMILY, 4.12) == []
    assert parts_for(own, FAMILY, 4.12, within_mm=0.2) == [part()]


def test_what_is_at_hand_comes_first():
    own = shelf(*ALDER, *(part(state=state, supplier=state) for state in reversed(STATES)))
    assert [p.state for p in parts_for(own, FAMILY, 4.0)] == list(STATES)


def test_a_plan_row_is_plain_and_holds_no_supplier():
    assert part("stud", height_mm=3, supplier="x", checked_on="2026-09-14").plan_row() == {
        "kind": "stud",
        "platform_width_mm": 4.0,
        "height_mm": 3.0,
        "angle_deg": 0.0,
        "state": "in stock",
        "checked_on": "2026-09-14",
    }
