"""Tilts off several films of one arch, each of which may stand turned."""

from __future__ import annotations

import numpy as np
import pytest

from identify.case_file import Case
from identify.film_tilts import combine_tilts, mesial_lean_deg, tilts_of_reading
from identify.knowledge import load_notes

RULES = load_notes().rules


def combined(films, teeth=("33", "34", "36"), **tilts):
    implants = [{"label": tooth, "tooth": tooth} | tilts.get(f"at{tooth}", {}) for tooth in teeth]
    case = Case.model_validate({"family": "any", "implants": implants, "films": films})
    return combine_tilts(case, case.implants, RULES)


def film(turn_std_deg=5.0, std_deg=0.3, **tilts):
    shown = {
        name.removeprefix("at"): {"mesiodistal_deg": t, "std_deg": std_deg}
        for name, t in tilts.items()
    }
    return {"tilts": shown, "turn_std_deg": turn_std_deg}


def difference_std(found, one, other):
    pick = np.zeros(len(found.labels))
    pick[found.labels.index(one)], pick[found.labels.index(other)] = 1, -1
    return float(np.sqrt(pick @ found.covariance_deg2 @ pick))


def test_one_film_gives_differences_far_better_than_tilts() -> None:
    found = combined([film(at33=4.0, at34=-3.0)], teeth=("33", "34"))
    assert found.mean_deg == pytest.approx([4.0, -3.0], abs=0.1)
    assert np.sqrt(found.covariance_deg2[0, 0]) == pytest.approx(5.0, abs=0.1)  # the turn
    assert difference_std(found, "33", "34") == pytest.approx(0.3 * np.sqrt(2), abs=0.01)


def test_two_films_are_tied_by_the_implant_they_share() -> None:
    # the second film stands turned by 6: what both show of 34 says so
    films = [film(at33=4.0, at34=-3.0), film(at34=3.0, at36=10.0)]
    found = combined(films)
    mean = dict(zip(found.labels, found.mean_deg, strict=True))
    assert mean["33"] - mean["36"] == pytest.approx(4.0 - (10.0 - 6.0), abs=0.1)
    assert difference_std(found, "33", "36") == pytest.approx(0.3 * 2, abs=0.02)


def test_a_turned_film_leans_both_sides_of_the_midline_opposite_ways() -> None:
    # two centrals on one film that both lean "mesial" cannot be a turn; opposite leans can
    found = combined([film(at31=5.0, at41=-5.0)], teeth=("31", "41"))
    pick = np.array([1.0, 1.0])
    assert float(np.sqrt(pick @ found.covariance_deg2 @ pick)) == pytest.approx(0.42, abs=0.02)


def test_an_entered_tilt_sets_a_film_upright() -> None:
    entered = {"at34": {"tilt_mesiodistal_deg": 0.0, "tilt_std_deg": 0.5}}
    found = combined([film(turn_std_deg=30.0, at33=9.0, at34=4.0)], teeth=("33", "34"), **entered)
    assert dict(zip(found.labels, found.mean_deg, strict=True))["33"] == pytest.approx(5.0, abs=0.1)


@pytest.mark.parametrize(
    ("axis_deg", "tooth", "lean_deg"),
    [
        (90.0, "36", 0.0),  # lower, apex straight down
        (95.0, "36", -5.0),  # apex to the left, crown to the right: distal on the left side
        (95.0, "46", 5.0),
        (-95.0, "26", -5.0),  # upper, apex up and to the left: crown to the right, distal
        (-95.0, "16", 5.0),
    ],
)
def test_lean_on_a_film_seen_from_in_front(axis_deg, tooth, lean_deg) -> None:
    assert mesial_lean_deg(axis_deg, tooth) == pytest.approx(lean_deg)


def test_a_reading_gives_tilts_of_the_teeth_in_the_case() -> None:
    case = Case.model_validate({"family": "any", "implants": [{"label": "A", "tooth": "36"}]})
    axis = {"value": 93.0, "std": 0.2}
    reading = {
        "implants": [
            {"tooth": "36", "axis_deg": axis},
            {"tooth": "35", "axis_deg": axis},
            {"tooth": None, "axis_deg": {"not_measured": "no wall was found"}},
        ]
    }
    found = tilts_of_reading(reading, case.implants, "left.json")
    assert found is not None
    assert set(found["tilts"]) == {"36"}
    assert found["tilts"]["36"]["mesiodistal_deg"] == pytest.approx(-3.0)
    assert tilts_of_reading({"implants": []}, case.implants, "empty.json") is None
