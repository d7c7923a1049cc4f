"""The path of a case with its uncertainty: from tilts, from one measured angle, or not at all."""

from __future__ import annotations

import pytest

from features.quantity import Measured
from identify.case_file import Case
from identify.divergence import find_divergence
from identify.draw_path import Post
from identify.insertion import find_insertion
from tests.identify.planned_cases import NOTES, implants, upright


def path_of(posts, **facts):
    case = Case.model_validate({"family": "any"} | facts)
    return find_insertion(posts, case, find_divergence(case, NOTES.rules))


def posts(labels="AB", taper_deg=5.0, **more):
    return tuple(Post(label, taper_deg, 4.0, **more) for label in labels)


def test_a_measured_angle_is_halved_and_keeps_its_uncertainty() -> None:
    path = path_of(
        posts(), implants=implants(), divergence_measured_deg=18.0, divergence_measured_std_deg=2.0
    )
    lean = path.leans_deg["A"]
    assert isinstance(lean, Measured)
    assert lean.value == 9.0
    assert lean.std == pytest.approx(1.0, abs=0.05)  # half of 2
    assert path.beyond_deg.value == pytest.approx(4.0)


def test_tilts_and_the_measured_angle_agree() -> None:
    tilted = path_of(posts(), **upright(9.0, -9.0))
    measured = path_of(posts(), implants=implants(), divergence_measured_deg=18.0)
    assert tilted.leans_deg["B"].value == pytest.approx(measured.leans_deg["B"].value, abs=0.01)


def test_a_path_near_its_limit_is_not_called_sure() -> None:
    for lean, sure in ((4.9, False), (3.0, True), (8.0, True)):
        assert path_of(posts(), **upright(lean, -lean)).is_sure == sure


def test_three_share_one_path_whose_spread_follows_the_tilts() -> None:
    case = upright(8.0, -8.0, 0.0)
    path = path_of(posts("ABC", taper_deg=0.0), **case)
    assert path.leans_deg["A"].value == pytest.approx(8.0, abs=0.05)
    # two outer axes, each ± 0.2 in the plane of the lean: half their difference strays 0.14
    assert path.leans_deg["A"].std == pytest.approx(0.14, abs=0.04)


def test_one_angle_does_not_give_the_path_of_three() -> None:
    three = implants(teeth=("36", "34", "37"))
    path = path_of(posts("ABC"), implants=three, divergence_measured_deg=12.0)
    assert path.exists is None
    assert "path of three" in path.beyond_deg.reason


def test_two_jaws_have_no_common_path() -> None:
    tilt = {"tilt_mesiodistal_deg": 0.0, "tilt_buccolingual_deg": 0.0}
    rows = implants(tilt, tilt, tilt, teeth=("33", "43", "13"))
    assert "two jaws" in path_of(posts("AC"), implants=rows).beyond_deg.reason
