"""Steps in their order, parts with what is missing, and nothing ordered before it is confirmed."""

from __future__ import annotations

import pytest

from tests.identify.planned_cases import CONE, EXTERNAL, NO_INDEX, NOTES, implants, only, planned

SINGLE_MILLED = {"indication": "single", "retention": "screw", "making": "milled"}


def test_every_sequence_begins_with_the_old_work_and_ends_with_the_record() -> None:
    for key, family in NOTES.families.items():
        if family.restoring.stop:
            continue
        for option in planned(family=key, index="present")["options"]:
            if option["verdict"] == "does_not_suit":
                assert option["sequence"] == []
                continue
            first, last = option["sequence"][0], option["sequence"][-1]
            assert first.startswith("Take the old work off safely"), (key, option)
            assert "if the parts never come" in first
            assert last.startswith("Write down what was used")
            assert "floss" in first
            assert "What may break" in first


@pytest.mark.parametrize(
    ("old_work", "words"),
    [
        ("screwed", "uncover and clean the head"),
        ("cemented", "Do not knock it off"),
        ("removable", "Lift the denture out"),
        (None, "whether the old work is screwed or cemented"),
    ],
)
def test_old_work_comes_off_by_what_holds_it(old_work, words) -> None:
    steps = only(planned(**EXTERNAL, old_work=old_work), **SINGLE_MILLED)["sequence"]
    assert words in " ".join(steps)
    others = {"uncover and clean the head", "Do not knock it off", "Lift the denture out"} - {words}
    assert not any(other in " ".join(steps) for other in others)


def order(steps, *beginnings):
    places = [next(i for i, s in enumerate(steps) if b in s) for b in beginnings]
    return places == sorted(places)


def test_an_untimed_post_is_shortened_then_seated_prepared_and_modelled_in_stone() -> None:
    data = planned(**NO_INDEX, implants=implants())
    steps = only(data, indication="splinted", retention="cement", making="stock")["sequence"]
    assert order(
        steps,
        "Confirm the family",
        "reduce only the height outside the mouth",
        "Seat the post finally",
        "Cut the common path",
        "impression of what was prepared as of a tooth",
        "models in stone",
        "Survey the common path",
        "verify it on a film",
    )
    assert not any("replicas of the implants" in step for step in steps)


def test_work_at_implant_level_is_poured_on_replicas() -> None:
    steps = only(planned(**EXTERNAL), **SINGLE_MILLED)["sequence"]
    assert order(steps, "part that engages the index", "replicas of the implants", "on a film")
    assert not any("stone" in step for step in steps)


def test_intermediate_abutments_are_not_taken_out_again() -> None:
    data = planned(**CONE, implants=implants())
    steps = only(data, indication="splinted", retention="screw", making="stock")["sequence"]
    assert order(steps, "they are not taken out again", "replicas of the intermediate", "one screw")


def test_below_a_trial_parts_are_only_asked_for() -> None:
    for confirmed, words in (("bench", "ask whether obtainable"), ("record", "")):
        option = only(planned(**EXTERNAL, confirmed=confirmed), **SINGLE_MILLED)
        assert option["ordering"].endswith(words)
        assert bool(option["ordering"]) == bool(words)


def test_the_shelf_says_what_is_to_be_had_and_what_is_not_on_it() -> None:
    rows = [
        {"kind": "replica", "state": "discontinued"},
        {"kind": "replica", "state": "orderable", "checked_on": "2026-09-01"},
    ]
    option = only(planned(**EXTERNAL, parts=rows, confirmed="trial"), **SINGLE_MILLED)
    states = {part["kind"]: part for part in option["parts"]}
    assert states["replica"] == {
        "kind": "replica",
        "state": "orderable",
        "checked_on": "2026-09-01",
    }
    assert states["screw"]["state"] == "not on the Shelf"


def test_a_part_in_the_drawer_is_not_taken_for_a_family_that_was_only_guessed() -> None:
    rows = [{"kind": "replica", "state": "in stock"}, {"kind": "screw", "state": "scarce"}]
    option = only(planned(**EXTERNAL, parts=rows), **SINGLE_MILLED)
    states = {part["kind"]: part for part in option["parts"]}
    assert states["replica"]["state"] == "ask whether obtainable"
    assert states["replica"]["on_shelf"] == "in stock"
    assert states["screw"]["state"] == "scarce"
