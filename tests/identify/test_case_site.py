"""Two kinds of connection in one case, and two rival families side by side."""

from __future__ import annotations

import pytest

from features.input_file import BadInput
from identify.case_file import Case
from identify.restore import plan
from tests.identify.planned_cases import NO_INDEX, NOTES, implants, only, planned, said, verdicts

NEWER = {"family": "internal_hex_parallel", "index": "present"}


def test_a_splint_to_a_newer_implant_hears_both_connections() -> None:
    data = planned(**NO_INDEX, implants=implants({}, NEWER), indication="splinted")
    screwed = only(data, retention="screw", making="milled")
    assert "On B (internal index): " in said(screwed)
    assert screwed["verdict"] == "with_care"  # the older body's machined parts are scarce


def test_the_worse_connection_decides_a_splint() -> None:
    cone = {"connection": "cone", "index": "present"}
    alone = planned(family="external_hex_parallel", implants=implants())
    mixed = planned(family="external_hex_parallel", implants=implants({}, cone))
    way = {"indication": "splinted", "retention": "screw", "making": "milled"}
    assert verdicts(alone, **way) == {"suits"}
    assert verdicts(mixed, **way) == {"with_care"}


def test_a_single_crown_hears_its_own_connection_only() -> None:
    data = planned(**NO_INDEX, implants=implants({}, NEWER), indication="single")
    assert verdicts(data, retention="screw") == {"does_not_suit"}
    assert "On B" not in " ".join(said(option) for option in data["options"])


def test_a_way_that_one_connection_has_not_is_not_listed() -> None:
    locking = {"connection": "self_locking"}
    data = planned(family="external_hex_parallel", implants=implants({}, locking))
    assert not [
        o for o in data["options"] if o["indication"] == "splinted" and o["retention"] == "screw"
    ]


def test_rivals_are_planned_side_by_side() -> None:
    case = {"family": "tissue_level_cone", "rival": "external_hex_parallel", "index": "absent"}
    both = plan(Case.model_validate(case), NOTES)
    assert both.rival is not None
    assert both.rival.family == "external_hex_parallel"
    mine, theirs = ({o.way: o.verdict for o in one.options} for one in (both, both.rival))
    single, joined = ("single", "cement", "stock"), ("splinted", "cement", "stock")
    assert (mine[single], theirs[single]) == ("with_care", "does_not_suit")
    assert (mine[joined], theirs[joined]) == ("suits", "suits")
    assert both.to_json()["rival"]["radiofixture"] == "plan/1"


def test_a_rival_stays_stamped_when_the_first_is_confirmed() -> None:
    data = planned(family="tri_channel", rival="tissue_level_cone", confirmed="trial")
    assert data["confirmed"] is True
    assert data["rival"]["confirmed"] is False
    assert data["rival"]["cautions"][0] == "NOT CONFIRMED: DO NOT ORDER PARTS"


@pytest.mark.parametrize(
    ("case", "words"),
    [
        ({"family": "tri_channel", "rival": "no_such"}, ["'rival'", "no_such"]),
        (
            {"family": "tri_channel", "implants": [{"label": "A", "family": "no_such"}]},
            ["implants", "no_such"],
        ),
    ],
)
def test_a_family_nobody_knows_is_refused_where_it_stands(case, words) -> None:
    with pytest.raises(BadInput) as caught:
        planned(**case)
    assert all(word in str(caught.value) for word in words), caught.value
