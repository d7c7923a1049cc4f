"""A case turned into a plan: options, what forbids them, and the angle between implants."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from features.input_file import BadInput
from identify.case_file import Case
from identify.knowledge import load_notes
from identify.restore import load_case, plan

NOTES = load_notes()
STAMP = "NOT CONFIRMED: DO NOT ORDER PARTS"

SPLINT = {
    "radiofixture": "case/1",
    "family": "pressfit_cylinder_plain_bore",
    "connection": "no_index",
    "index": "absent",
    "confirmed": "film_only",
    "indication": "splinted",
    "vertical_space_mm": 8.0,
    "space_datum": "platform",
    "implants": [
        {
            "label": "A",
            "tooth": "36",
            "platform_width_mm": 4.0,
            "tissue_depth_mm": 2.0,
            "tilt_mesiodistal_deg": -4.0,
            "tilt_buccolingual_deg": 0.0,
            "tilt_std_deg": 2.0,
        },
        {
            "label": "B",
            "tooth": "34",
            "platform_width_mm": 4.0,
            "tissue_depth_mm": 2.0,
            "tilt_mesiodistal_deg": 4.0,
            "tilt_buccolingual_deg": 0.0,
            "tilt_std_deg": 2.0,
        },
    ],
}


def planned(**facts):
    return plan(Case.model_validate(facts), NOTES).to_json()


def verdicts(data, **where):
    return {
        option["verdict"]
        for option in data["options"]
        if all(option[key] == value for key, value in where.items())
    }


def test_example_of_two_joined_cylinders() -> None:
    data = planned(**SPLINT)
    assert data["radiofixture"] == "plan/1"
    # 4 + 4 degrees in nearly one direction; each of four tilts ± 2 degrees
    assert data["divergence_deg"]["value"] == pytest.approx(8.1, abs=0.3)
    assert data["divergence_deg"]["std"] == pytest.approx(2.9, abs=0.3)
    assert data["stop"] is None
    assert {option["indication"] for option in data["options"]} == {"splinted"}
    castable = next(
        o for o in data["options"] if (o["retention"], o["making"]) == ("screw", "castable")
    )
    assert castable["verdict"] == "with_care"
    assert {"kind": "replica", "state": "scarce"} in castable["parts"]
    assert castable["sequence"][0].startswith("Take the old work off safely")
    assert any("replica" in caution for caution in castable["cautions"])
    assert json.loads(json.dumps(data)) == data


def test_every_option_has_reasons_that_say_where_from() -> None:
    for key, family in NOTES.families.items():
        for option in planned(family=key)["options"]:
            assert option["reasons"], (key, option)
            for reason in option["reasons"]:
                assert reason["standing"] in (
                    "source",
                    "derived",
                    "from memory",
                    "common practice",
                )
                assert (reason["standing"] == "source") == (reason["source"] is not None)
        assert bool(planned(family=key)["options"]) != bool(family.restoring.stop)


@pytest.mark.parametrize("confirmed", ["film_only", "connection_seen", "bench"])
def test_below_a_trial_every_option_says_do_not_order(confirmed: str) -> None:
    data = planned(**SPLINT | {"confirmed": confirmed})
    assert data["options"]
    assert all(option["cautions"][0] == STAMP for option in data["options"])
    assert data["cautions"][0] == STAMP


@pytest.mark.parametrize("confirmed", ["trial", "record"])
def test_after_a_trial_or_a_record_nothing_forbids_ordering(confirmed: str) -> None:
    data = planned(**SPLINT | {"confirmed": confirmed})
    assert data["options"]
    assert STAMP not in json.dumps(data)


# ---- the index --------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["tissue_level_cone", "external_hex_parallel", "tri_channel"])
def test_unknown_index_leaves_every_single_undecided(key: str) -> None:
    data = planned(family=key, index="unknown")
    assert verdicts(data, indication="single") == {"cannot_judge"}
    assert "suits" in verdicts(data, indication="splinted")


def test_index_that_varies_in_a_family_counts_as_unknown() -> None:
    assert verdicts(planned(family="tissue_level_cone"), indication="single") == {"cannot_judge"}


def test_index_seen_decides_a_cone() -> None:
    single = {"family": "tissue_level_cone", "indication": "single"}
    with_index = planned(**single, index="present")
    without = planned(**single, index="absent")
    assert verdicts(with_index, retention="screw", making="milled") == {"suits"}
    assert verdicts(without, retention="screw") == {"does_not_suit"}
    assert verdicts(without, retention="cement", making="stock") == {"with_care"}


def test_flat_joint_without_index_suits_no_single_but_a_splint() -> None:
    data = planned(family="external_hex_parallel", index="absent")
    assert verdicts(data, indication="single") == {"does_not_suit"}
    assert "suits" in verdicts(data, indication="splinted", retention="screw")


def test_locking_taper_does_not_ask_for_an_index() -> None:
    data = planned(family="plateau_locking_taper", index="unknown", indication="single")
    assert verdicts(data, retention="cement") == {"suits"}


def test_connection_seen_overrides_the_family() -> None:
    data = planned(family="pressfit_cylinder_plain_bore", connection="external_index")
    assert data["group"] == "external_index"
    assert "overrides" in data["notes"][0]
    assert verdicts(data, indication="single", making="milled") == {"suits"}


def test_index_where_the_family_has_none_is_not_silently_believed() -> None:
    data = planned(family="pressfit_cylinder_plain_bore", index="present", indication="single")
    assert verdicts(data) == {"cannot_judge"}


def test_index_nobody_saw_is_said_to_be_expected_only() -> None:
    assert NOTES.rules.index_not_seen in planned(family="tri_channel")["notes"]
    assert NOTES.rules.index_not_seen not in planned(family="tri_channel", index="present")["notes"]


def test_index_on_a_locking_taper_is_called_a_contradiction() -> None:
    notes = planned(family="plateau_locking_taper", index="present")["notes"]
    assert NOTES.rules.index_contradicts in notes


# ---- stop -------------------------------------------------------------------------------------


def test_stop_sign_ends_the_plan_but_leaves_the_other_ways() -> None:
    data = planned(**SPLINT | {"stop_signs": ["moves", "pus"]})
    assert data["options"] == []
    assert "no torque" in data["stop"]
    assert "the implant itself moves; there is pus" in data["stop"]
    choices = [way["choice"] for way in data["other_ways"]]
    assert choices == ["keep and repair", "leave buried", "refer for removal"]


def test_what_is_no_root_form_is_stopped() -> None:
    data = planned(family="beyond_root_form")
    assert data["stop"]
    assert data["options"] == []


# ---- attachments ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("retention", "angle_deg", "verdict"),
    [
        ("ball", 10.0, "suits"),
        ("ball", 20.0, "with_care"),
        ("ball", 20.1, "does_not_suit"),
        ("low_profile_stud", 20.0, "suits"),
        ("low_profile_stud", 40.0, "with_care"),
        ("low_profile_stud", 41.0, "does_not_suit"),
    ],
)
def test_attachments_are_held_against_the_divergence(
    retention: str, angle_deg: float, verdict: str
) -> None:
    implants = [{"label": "A", "tooth": "33"}, {"label": "B", "tooth": "43"}]
    data = planned(
        family="external_hex_parallel", implants=implants, divergence_measured_deg=angle_deg
    )
    assert verdicts(data, retention=retention) == {verdict}


def test_divergence_that_may_lie_beyond_a_limit_says_so() -> None:
    implants = [{"label": "A", "tooth": "33"}, {"label": "B", "tooth": "43"}]
    for angle_deg, near in ((18.0, True), (12.0, False)):  # ± 2: 95 % reaches 22 and 16
        data = planned(
            family="external_hex_parallel", implants=implants, divergence_measured_deg=angle_deg
        )
        ball = next(option for option in data["options"] if option["retention"] == "ball")
        assert ("may lie beyond" in ball["reasons"][1]["text"]) == near
        assert any("model or a scan" in change for change in ball["changes"]) == near


def test_attachment_without_a_measured_divergence_goes_with_care_at_best() -> None:
    implants = [{"label": "A", "tooth": "33"}, {"label": "B", "tooth": "43"}]
    data = planned(family="external_hex_parallel", implants=implants)
    assert verdicts(data, retention="ball") == {"with_care"}


# ---- vertical space ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("space_mm", "datum", "verdict"),
    [
        (8.0, "mucosa", "suits"),
        (10.0, "platform", "suits"),
        (10.0, "not stated", "suits"),
        (7.9, "mucosa", "with_care"),  # published as 7 through 8
        (9.0, "platform", "with_care"),
        (8.9, "platform", "with_care"),  # 8.9 reaches 7, 8.9 - 2 of tissue does not
        (6.9, "platform", "does_not_suit"),
    ],
)
def test_space_takes_the_safer_reading_of_a_limit_without_datum(
    space_mm: float, datum: str, verdict: str
) -> None:
    data = planned(
        family="external_hex_parallel",
        vertical_space_mm=space_mm,
        space_datum=datum,
        implants=[{"label": "A", "tissue_depth_mm": 2.0}],
    )
    assert verdicts(data, indication="single", retention="cement", making="milled") == {verdict}


def test_what_is_not_given_is_said_not_to_be_judged() -> None:
    notes = " ".join(planned(family="tri_channel")["notes"])
    assert "vertical space is not given" in notes
    assert "tissue depth is not given" in notes


# ---- the case file ----------------------------------------------------------------------------


def test_screw_seen_is_named_beside_the_screws_to_find() -> None:
    data = planned(**SPLINT | {"screw_thread": "M2"})
    screws = [p for o in data["options"] for p in o["parts"] if "screw" in p["kind"]]
    assert screws
    assert {part["thread"] for part in screws} == {"M2"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"vertical_space_mm": -3.0}, ["vertical_space_mm"]),
        ({"index": "present"}, ["no_index", "index is present"]),
        ({"maker": "x"}, ["'maker'", "not a known entry"]),
        ({"confirmed": "sure"}, ["confirmed"]),
        ({"family": "no_such"}, ["no_such", "tri_channel"]),
        ({"stop_signs": ["itch"]}, ["itch", "pain"]),
        ({"tooth_frames_deg": {"11": 5.0}}, ["tooth_frames_deg", "11"]),
        ({"implants": [{"label": "A", "tooth": "19"}]}, ["tooth", "36"]),
        ({"implants": [{"label": "A"}, {"label": "A"}]}, ["label"]),
        ({"divergence_measured_deg": 120.0}, ["divergence_measured_deg"]),
    ],
)
def test_impossible_case_gets_one_clear_sentence(
    tmp_path: Path, change: dict, words: list[str]
) -> None:
    path = tmp_path / "case.json"
    path.write_text(json.dumps(SPLINT | change), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        plan(load_case(path), NOTES)
    sentence = str(caught.value)
    assert all(word in sentence for word in words), sentence
    assert "\n" not in sentence


def test_same_case_gives_the_same_plan() -> None:
    assert planned(**SPLINT) == planned(**SPLINT)
