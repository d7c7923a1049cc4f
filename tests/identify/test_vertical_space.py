"""Layers between platform and bite."""

from __future__ import annotations

import pytest

from tests.identify.planned_cases import EXTERNAL, implants, only, planned

CANINES = {"indication": "removable", "confirmed": "trial"}


def stacked(retention, **facts):
    data = planned(**EXTERNAL, **CANINES, **facts)
    return only(data, retention=retention, **({"making": "milled"} if retention == "bar" else {}))[
        "space"
    ]


def test_layers_of_a_stud_worked_by_hand() -> None:
    """2.5 gum + 2.27 housing + 2 base + 3 tooth = 9.77 of 12 mm from the platform."""
    deep = implants(tissue_depth_mm=2.5, teeth=("33", "43"))
    space = stacked(
        "low_profile_stud", implants=deep, vertical_space_mm=12.0, space_datum="platform"
    )
    assert space["datum"] == "platform"
    assert [layer["height_mm"]["value"] for layer in space["layers"]] == [2.5, 2.27, 2.0, 3.0]
    assert space["needed_mm"]["value"] == pytest.approx(9.77)
    assert space["left_mm"]["value"] == pytest.approx(2.23)
    assert space["left_mm"]["std"] == pytest.approx(0.5)  # of the space, measured with a ruler


def test_a_space_measured_from_the_gum_has_no_gum_in_it() -> None:
    deep = implants(tissue_depth_mm=2.5, teeth=("33", "43"))
    space = stacked("low_profile_stud", implants=deep, vertical_space_mm=9.0, space_datum="mucosa")
    assert space["datum"] == "mucosa"
    assert space["needed_mm"]["value"] == pytest.approx(7.27)


def test_the_shelfs_height_wins_and_brings_its_uncertainty() -> None:
    deep = implants(tissue_depth_mm=2.0, teeth=("33", "43"), platform_width_mm=4.1)
    rows = [
        {"kind": "housing", "platform_width_mm": 4.1, "height_mm": 3.2, "state": "in stock"},
        {"kind": "housing", "platform_width_mm": 5.0, "height_mm": 9.9, "state": "in stock"},
    ]
    space = stacked("ball", implants=deep, parts=rows)
    ball = space["layers"][1]
    assert (ball["height_mm"]["value"], ball["where_from"]) == (3.2, "the Shelf")
    assert space["needed_mm"] == {"value": pytest.approx(10.2), "std": pytest.approx(0.1)}
    assert space["left_mm"] == {"not_measured": "the vertical space is not given"}


def test_a_layer_nobody_knows_leaves_the_sum_open() -> None:
    space = stacked("bar", implants=implants(tissue_depth_mm=2.0, teeth=("33", "43")))
    assert "height of the bar" in space["needed_mm"]["not_measured"]


def test_unknown_gum_leaves_the_sum_from_the_platform_open() -> None:
    space = stacked("low_profile_stud", implants=implants(teeth=("33", "43")))
    assert "gum" in space["needed_mm"]["not_measured"]


def test_layers_that_do_not_fit_are_a_reason_with_what_is_missing() -> None:
    """3.5 gum + 4 wall + 1.5 crown = 9 of 7.5 mm: 1.5 too much, though above the least of 7."""
    case = {"implants": implants(tissue_depth_mm=3.5, teeth=("11",)), "space_datum": "platform"}
    way = {"indication": "single", "retention": "cement", "making": "milled"}
    for space_mm, missing in ((7.5, True), (12.0, False)):
        option = only(planned(**EXTERNAL, **case, vertical_space_mm=space_mm), **way)
        told = [r for r in option["reasons"] if "Stacked up" in r["text"]]
        assert bool(told) == missing
        assert all("1.5 ± 1.0 mm more than there is" in reason["text"] for reason in told)
        assert all(reason["standing"] == "derived" for reason in told)
