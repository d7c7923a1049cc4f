"""The margin or collar chosen from the Shelf for the gum's depth."""

from __future__ import annotations

import pytest

from tests.identify.planned_cases import EXTERNAL, implants, only, planned

STUDS = [
    {"kind": "stud", "platform_width_mm": 4.1, "height_mm": height, "state": "in stock"}
    for height in (1.0, 2.0, 3.0, 4.0)
]


def chosen(*, depth_mm, width_mm=4.1, rows=STUDS):
    one = implants(teeth=("33", "43"), tissue_depth_mm=depth_mm, platform_width_mm=width_mm)
    data = planned(**EXTERNAL, implants=one, indication="removable", parts=rows)
    return only(data, retention="low_profile_stud")["collars"][0]


@pytest.mark.parametrize(("depth_mm", "height_mm"), [(0.8, 1.0), (2.2, 3.0), (3.4, 4.0)])
def test_a_collar_ends_at_the_gum_or_just_above(depth_mm, height_mm) -> None:
    assert chosen(depth_mm=depth_mm)["part"]["height_mm"] == height_mm


def test_deeper_gum_than_any_collar_is_said_with_what_there_is() -> None:
    choice = chosen(depth_mm=6.0)
    assert choice["part"] is None
    assert "none on the Shelf (1, 2, 3, 4 mm)" in choice["text"]


def test_collars_of_another_platform_are_not_taken() -> None:
    choice = chosen(depth_mm=2.2, width_mm=5.0)
    assert choice["part"] is None
    assert "no such part" in choice["text"]


def test_a_margin_for_cement_lies_no_deeper_than_it_can_be_cleared() -> None:
    rows = [
        {"kind": "stock abutment", "height_mm": height, "state": "in stock"}
        for height in (0.5, 1.0, 2.0, 4.0)
    ]
    one = implants(teeth=("36",), tissue_depth_mm=2.5)
    data = planned(**EXTERNAL, implants=one, indication="single", parts=rows)
    choice = only(data, retention="cement", making="stock")["collars"][0]
    assert choice["wanted_mm"] == [1.0, 2.5]
    assert choice["part"]["height_mm"] in (1.0, 2.0)
