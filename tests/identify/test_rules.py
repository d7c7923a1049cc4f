"""restoration.toml against the published values it rests on."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests.identify.planned_cases import CONE, EXTERNAL, NOTES, implants, only, planned, upright

PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "restoring_limits.toml").read_text(encoding="utf-8")
)
RULES = NOTES.rules
pytestmark = pytest.mark.published


@pytest.mark.parametrize("row", PUBLISHED["spaces"], ids=lambda row: row["what"])
def test_least_spaces_are_those_published_and_carry_their_source(row) -> None:
    (ours,) = (space for space in RULES.spaces if space.what == row["what"])
    assert (ours.least_mm, ours.most_mm) == (row["least_mm"], row.get("most_mm"))
    assert (ours.standing, ours.datum) == ("source", "not stated")
    assert "Carpentieri" in NOTES.sources[ours.source].reference


@pytest.mark.parametrize("row", PUBLISHED["limits"], ids=lambda row: row["of"])
def test_angles_of_studs_are_those_published(row) -> None:
    (ours,) = (
        lim for lim in RULES.limits if (lim.retention, lim.of) == (row["retention"], row["of"])
    )
    assert ours.with_care_up_to_deg == row["with_care_up_to_deg"]
    assert "Shafie" in NOTES.sources[ours.source].reference


def test_no_other_angle_claims_a_source() -> None:
    claimed = {(lim.retention, lim.of) for lim in RULES.limits if lim.standing == "source"}
    assert claimed == {(row["retention"], row["of"]) for row in PUBLISHED["limits"]}


@pytest.mark.parametrize(
    ("angle_deg", "speaks", "forbids"),
    [(15.9, False, False), (16.0, True, False), (19.9, True, False), (20.0, True, True)],
)
def test_engaging_pairs_are_held_to_the_published_angles(angle_deg, speaks, forbids) -> None:
    case = CONE | {"implants": implants(), "parts_engage_index": "yes"}
    data = planned(**case, divergence_measured_deg=angle_deg)
    option = only(data, indication="splinted", retention="screw", making="milled")
    rows = [r for r in option["reasons"] if "at 20" in r["text"] and "at 18" in r["text"]]
    assert bool(rows) == speaks
    assert (option["verdict"] == "does_not_suit") == forbids
    assert all("s12903-023-02958-4" in row["source"] for row in rows)


@pytest.mark.parametrize(("space_mm", "speaks"), [(5.9, True), (6.0, False)])
def test_below_six_millimetres_screws_are_the_better_choice(space_mm, speaks) -> None:
    assert PUBLISHED["cement_or_screw"]["screw_below_mm"] == 6.0
    data = planned(**EXTERNAL, vertical_space_mm=space_mm, space_datum="mucosa")
    option = only(data, indication="single", retention="cement", making="milled")
    told = [r for r in option["reasons"] if "screw retention is the better choice" in r["text"]]
    assert bool(told) == speaks
    assert all("Gomez-Polo" in row["source"] for row in told)


def test_walls_taper_as_published_for_prepared_teeth() -> None:
    row, draw = PUBLISHED["preparation"], RULES.draw
    assert 2 * draw.taper_deg == row["least_convergence_deg"]
    assert 2 * draw.widest_taper_deg == row["most_convergence_deg"]
    assert draw.height_mm == row["least_height_mm"]
    stock = only(
        planned(**EXTERNAL, **upright(6.0, -6.0)),
        indication="splinted",
        retention="cement",
        making="stock",
    )
    assert any("Goodacre" in (reason["source"] or "") for reason in stock["reasons"])


def test_the_low_studs_height_is_the_published_one() -> None:
    items = [item for stack in RULES.stacks for item in stack.items if "stud" in item.name]
    assert [item.height_mm for item in items] == [PUBLISHED["low_stud"]["above_gum_mm"]]


def test_no_rule_speaks_of_a_torque_figure() -> None:
    text = (Path(__file__).parents[2] / "reference_notes" / "restoration.toml").read_text()
    assert "Ncm" not in text
    assert "N·cm" not in text
