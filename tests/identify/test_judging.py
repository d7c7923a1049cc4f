"""What common practice and published limits make of an option."""

from __future__ import annotations

import pytest

from tests.identify.planned_cases import (
    CONE,
    EXTERNAL,
    INTERNAL,
    NO_INDEX,
    NOTES,
    implants,
    only,
    options,
    planned,
    said,
    upright,
    verdicts,
)

CEMENT_SPLINT = {"indication": "splinted", "retention": "cement"}
PAIR = {"implants": implants(teeth=("33", "43"))}

# ---- the index ------------------------------------------------------------------------------


@pytest.mark.parametrize("family", ["external_hex_parallel", "internal_hex_parallel"])
def test_a_flat_joint_without_index_suits_no_single_and_says_what_would_change_it(family) -> None:
    data = planned(family=family, index="absent")
    singles = options(data, indication="single")
    assert {option["verdict"] for option in singles} == {"does_not_suit"}
    assert all("contacts" in option["deciding"] for option in singles)
    assert all(any("second implant" in c for c in option["changes"]) for option in singles)


def test_joined_to_a_second_implant_the_missing_index_no_longer_matters() -> None:
    data = planned(family="external_hex_parallel", index="absent", implants=implants())
    assert verdicts(data, indication="splinted", retention="screw", making="milled") == {"suits"}


def test_a_cone_without_index_takes_a_cemented_crown_on_a_fixed_solid_abutment() -> None:
    data = planned(family="tissue_level_cone", index="absent", indication="single")
    stock = only(data, retention="cement", making="stock")
    assert stock["verdict"] == "with_care"
    assert any("not taken out again" in step for step in stock["sequence"])
    assert verdicts(data, retention="screw") == {"does_not_suit"}


def test_engaging_parts_in_cones_far_apart_do_not_come_off_together() -> None:
    for lean, engage, verdict in (
        (4.0, "yes", "with_care"),
        (8.5, "yes", "with_care"),  # 17 degrees apart: the force jumps at 18
        (10.5, "yes", "does_not_suit"),
        (10.5, "no", "with_care"),
    ):
        data = planned(**CONE, parts_engage_index=engage, **upright(lean, -lean))
        option = only(data, indication="splinted", retention="screw", making="milled")
        assert option["verdict"] == verdict, (lean, engage)


def test_a_single_on_parts_that_do_not_engage_is_refused() -> None:
    data = planned(**EXTERNAL, parts_engage_index="no", indication="single")
    assert verdicts(data) == {"does_not_suit"}


# ---- posts with their own thread, castings ------------------------------------------------------


def test_posts_without_timing_need_a_common_path_cut_in_the_mouth() -> None:
    posts = upright(9.0, -9.0, abutment="own_thread")
    stock = only(planned(**NO_INDEX, **posts), **CEMENT_SPLINT, making="stock")
    assert stock["verdict"] == "with_care"
    assert "only its height may be reduced" in said(stock)
    assert "cut away A" in said(stock)
    steps = " ".join(stock["sequence"])
    assert steps.index("reduce only the height outside the mouth") < steps.index("Seat the post f")
    assert "it is not taken out again" in steps
    assert steps.index("Seat the post f") < steps.index("Cut the common path")
    assert "as of a tooth" in steps


def test_designing_the_other_abutment_to_the_seated_post_needs_no_common_cut() -> None:
    one, other = {"abutment": "own_thread"}, {"abutment": "designed"}
    leaning = upright(9.0, -9.0)
    leaning["implants"] = [a | b for a, b in zip(leaning["implants"], (one, other), strict=True)]
    stock = only(planned(**NO_INDEX, **leaning), **CEMENT_SPLINT, making="stock")
    assert "designed to one path" in said(stock)
    assert "cut away" not in said(stock)
    assert any("designed to it on the model" in step for step in stock["sequence"])
    assert not any("Cut the common path" in step for step in stock["sequence"])
    milled = only(planned(**NO_INDEX, **leaning), **CEMENT_SPLINT, making="milled")
    steps = " ".join(milled["sequence"])
    assert steps.index("Seat the post finally") < steps.index("designed to it on the model")


def test_a_castable_pattern_waits_for_a_replica_and_serves_splints_better() -> None:
    rank = ("suits", "with_care", "does_not_suit")
    for case in (EXTERNAL, INTERNAL, CONE):
        data = planned(**case, implants=implants())
        for indication in ("single", "splinted"):
            cast = only(data, indication=indication, retention="screw", making="castable")
            milled = only(data, indication=indication, retention="screw", making="milled")
            assert rank.index(cast["verdict"]) >= rank.index(milled["verdict"])
            assert cast["verdict"] != "suits"
            assert any("replica" in caution for caution in cast["cautions"])
            assert any("machined part" in change for change in cast["changes"])
        single = only(data, indication="single", retention="screw", making="castable")
        splint = only(data, indication="splinted", retention="screw", making="castable")
        assert rank.index(splint["verdict"]) <= rank.index(single["verdict"])


# ---- cemented splints ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lean_deg", "exists", "verdict"), [(4.0, True, "suits"), (6.0, False, "with_care")]
)
def test_two_stock_abutments_draw_up_to_twice_their_taper(lean_deg, exists, verdict) -> None:
    data = planned(**EXTERNAL, **upright(lean_deg, -lean_deg))  # 5 degrees of taper a wall
    stock = only(data, **CEMENT_SPLINT, making="stock")
    assert stock["insertion"]["exists"] is exists
    assert stock["verdict"] == verdict
    # by hand: 4 mm of wall from 5 to 6 degrees is 4·(tan 6° - tan 5°)
    cuts = [abutment["cut_mm"]["value"] for abutment in stock["insertion"]["abutments"]]
    assert cuts == pytest.approx([0.0, 0.0] if exists else [0.0705, 0.0705], abs=0.002)


def test_walls_cut_to_more_than_twenty_degrees_hold_no_crown() -> None:
    data = planned(**EXTERNAL, **upright(16.0, -16.0))
    stock = only(data, **CEMENT_SPLINT, making="stock")
    assert stock["verdict"] == "does_not_suit"
    assert stock["deciding"].endswith("more than the 20° to which crowns are prepared.")
    assert only(data, **CEMENT_SPLINT, making="milled")["verdict"] == "suits"


def test_two_fixed_abutments_too_far_apart_leave_no_path() -> None:
    data = planned(**EXTERNAL, **upright(8.0, -8.0, abutment="fixed"))
    assert only(data, **CEMENT_SPLINT, making="stock")["verdict"] == "does_not_suit"


def test_three_posts_share_a_path_found_for_all_of_them() -> None:
    data = planned(**EXTERNAL, **upright(4.0, -4.0, 0.0))
    stock = only(data, **CEMENT_SPLINT, making="stock")
    assert stock["insertion"]["exists"] is True
    assert len(stock["insertion"]["abutments"]) == 3


def test_without_tilts_the_path_is_not_guessed() -> None:
    stock = only(planned(**EXTERNAL, implants=implants()), **CEMENT_SPLINT, making="stock")
    assert stock["verdict"] == "with_care"
    assert stock["insertion"]["exists"] is None
    assert any("model or a scan" in change for change in stock["changes"])


# ---- attachments ---------------------------------------------------------------------------------


def test_a_middle_implant_is_held_to_the_path_by_itself() -> None:
    """Three implants, 20 degrees apart at most in pairs, each about 11 from the best path."""
    frames = {"33": 45.0, "43": 45.0, "31": 0.0}
    tilts = [(10.0, 0.0), (10.0, 0.0), (0.0, -17.0)]
    rows = [
        {"tilt_mesiodistal_deg": m, "tilt_buccolingual_deg": b, "tilt_std_deg": 0.2}
        for m, b in tilts
    ]
    case = {"implants": implants(*rows, teeth=("33", "43", "31")), "tooth_frames_deg": frames}
    ball = only(planned(**EXTERNAL, **case), retention="ball")
    leans = [abutment["lean_deg"]["value"] for abutment in ball["insertion"]["abutments"]]
    assert max(leans) - min(leans) < 0.1  # the best path is as far from all three
    assert "To the best common path" in said(ball)


def test_two_canines_leaning_out_are_beyond_balls_but_not_studs() -> None:
    leaning = {"tilt_mesiodistal_deg": 0.0, "tilt_buccolingual_deg": 15.0, "tilt_std_deg": 2.0}
    data = planned(**EXTERNAL, implants=implants(leaning, leaning, teeth=("33", "43")))
    assert data["divergence_deg"]["value"] == pytest.approx(21, abs=1)
    assert only(data, retention="ball")["verdict"] == "does_not_suit"
    assert only(data, retention="low_profile_stud")["verdict"] == "with_care"


def test_one_listed_implant_is_said_to_need_a_second_for_a_bar_and_for_joining() -> None:
    data = planned(**EXTERNAL, implants=implants(teeth=("33",)))
    assert "a bar needs two" in said(only(data, retention="bar", making="milled"))
    assert verdicts(data, retention="low_profile_stud") == {"with_care"}  # the denture rocks
    for option in options(data, indication="splinted"):
        assert "joining needs a second one" in said(option)
        assert any("second implant" in change for change in option["changes"])


# ---- old abutments, access, parts -------------------------------------------------------------


def test_an_old_abutment_stays_until_the_family_is_confirmed() -> None:
    for confirmed, verdict in (("film_only", "with_care"), ("trial", "suits")):
        data = planned(**EXTERNAL, old_abutment="sound", confirmed=confirmed)
        assert verdicts(data, indication="single", making="milled") == {verdict}


def test_a_seized_abutment_closes_the_way_to_the_implant() -> None:
    data = planned(**CONE, old_abutment="seized", implants=implants())
    assert verdicts(data, making="milled", retention="screw") == {"does_not_suit"}


def test_a_screw_hole_that_would_show_speaks_for_cement() -> None:
    data = planned(**EXTERNAL, access="shows", indication="single")
    screwed = only(data, retention="screw", making="milled")
    assert screwed["verdict"] == "with_care"
    assert any("angled" in change for change in screwed["changes"])
    assert verdicts(data, retention="cement", making="milled") == {"suits"}


@pytest.mark.parametrize(
    ("state", "verdict"),
    [("in stock", "suits"), ("scarce", "with_care"), ("discontinued", "does_not_suit")],
)
def test_the_practices_own_shelf_has_its_say(state, verdict) -> None:
    part = {"kind": "replica", "platform_width_mm": 4.1, "state": state}
    case = EXTERNAL | {"implants": implants({"platform_width_mm": 4.0}, teeth=("36",))}
    data = planned(**case, indication="single", parts=[part])
    assert only(data, retention="screw", making="milled")["verdict"] == verdict


def test_every_option_that_does_not_suit_outright_says_what_would_change_it() -> None:
    for key in NOTES.families:
        for index in ("present", "absent", "unknown"):
            if NOTES.families[key].restoring.stop:
                continue
            for option in planned(family=key, index=index)["options"]:
                assert option["verdict"] == "suits" or option["changes"], (key, index, option)


def test_the_deciding_reason_is_one_of_the_reasons() -> None:
    data = planned(**CONE, vertical_space_mm=6.0, space_datum="mucosa", implants=implants())
    for option in data["options"]:
        assert option["deciding"] in {reason["text"] for reason in option["reasons"]}
    cement = only(data, indication="single", retention="cement", making="milled")
    assert cement["deciding"].startswith("Vertical space is too little")
