"""The angle between implants, from tilts in each tooth's own frame."""

from __future__ import annotations

import math
from itertools import permutations

import pytest

from identify.case_file import Case
from identify.divergence import find_divergence
from identify.knowledge import load_notes

RULES = load_notes().rules


def angle_of(*implants, **facts):
    case = Case.model_validate({"family": "any", "implants": implants, **facts})
    return find_divergence(case, RULES).to_json()


def tilted(label, tooth, mesial, buccal, std=2.0):
    return {
        "label": label,
        "tooth": tooth,
        "tilt_mesiodistal_deg": mesial,
        "tilt_buccolingual_deg": buccal,
        "tilt_std_deg": std,
    }


PREMOLARS = (tilted("A", "36", -4.0, 0.0), tilted("B", "34", 4.0, 0.0))


def test_leaning_apart_adds_up_along_the_arch() -> None:
    angle = angle_of(*PREMOLARS)
    # 4 + 4 degrees in nearly one direction; four tilts of ± 2 degrees each
    assert angle["value"] == pytest.approx(8.1, abs=0.3)
    assert angle["std"] == pytest.approx(2.9, abs=0.3)


def test_two_canines_leaning_out_diverge_across_the_arch() -> None:
    canines = [tilted("A", "13", 0.0, 15.0), tilted("B", "23", 0.0, 15.0)]
    angle = angle_of(*canines)
    assert angle["value"] == pytest.approx(21, abs=1)  # frames about 90 degrees apart
    assert angle["std"] == pytest.approx(4.5, abs=0.5)  # 17 to 26 by arch form
    for frame, expected in ((35.0, 17.2), (60.0, 25.9)):  # 2·15·sin(frame), small angles
        angle = angle_of(*canines, tooth_frames_deg={"13": frame, "23": frame})
        assert angle["value"] == pytest.approx(expected, abs=0.7)


@pytest.mark.parametrize(
    ("teeth", "frames", "first", "second"),
    [
        (("36", "34"), (80.0, 60.0), (-4.0, 10.0), (12.0, -3.0)),
        (("46", "34"), (80.0, 60.0), (-4.0, 10.0), (12.0, -3.0)),
        (("11", "21"), (5.0, 9.0), (20.0, 0.0), (20.0, 0.0)),
        (("23", "27"), (45.0, 85.0), (0.0, 25.0), (0.0, 0.0)),
    ],
)
def test_angle_follows_the_spherical_law_of_cosines(teeth, frames, first, second) -> None:
    """Lean and azimuth of each axis from its tilts, then the angle on the sphere between them."""

    def lean_and_azimuth(tooth, frame_deg, tilts):
        mesial, buccal = (math.tan(math.radians(tilt)) for tilt in tilts)
        # azimuth of the mesial direction, counter-clockwise from the patient's left
        left = tooth[0] in "23"
        mesial_at = math.pi - math.radians(frame_deg) if left else math.radians(frame_deg)
        buccal_at = mesial_at + (-math.pi / 2 if left else math.pi / 2)
        x = mesial * math.cos(mesial_at) + buccal * math.cos(buccal_at)
        y = mesial * math.sin(mesial_at) + buccal * math.sin(buccal_at)
        return math.atan(math.hypot(x, y)), math.atan2(y, x)

    (lean_1, at_1), (lean_2, at_2) = map(lean_and_azimuth, teeth, frames, (first, second))
    expected = math.degrees(
        math.acos(
            math.cos(lean_1) * math.cos(lean_2)
            + math.sin(lean_1) * math.sin(lean_2) * math.cos(at_1 - at_2)
        )
    )
    implants = [
        tilted("A", teeth[0], *first, std=0.01),
        tilted("B", teeth[1], *second, std=0.01),
    ]
    angle = angle_of(
        *implants,
        tooth_frames_deg=dict(zip(teeth, frames, strict=True)),
    )
    # entered frames keep ± 3 degrees, which adds up to 0.1 degrees to the mean
    assert angle["value"] == pytest.approx(expected, abs=0.15)


def test_measured_divergence_wins_over_tilts() -> None:
    angle = angle_of(*PREMOLARS, divergence_measured_deg=25.0)
    assert angle == {"value": 25.0, "std": 2.0}


def test_one_implant_has_no_divergence() -> None:
    assert set(angle_of(PREMOLARS[0])) == {"not_measured"}
    assert set(angle_of()) == {"not_measured"}


@pytest.mark.parametrize(
    ("entry", "word"), [("tilt_buccolingual_deg", "model or a scan"), ("tooth", "tooth of A")]
)
def test_missing_tilt_or_tooth_gives_a_reason_not_a_number(entry: str, word: str) -> None:
    first = {key: value for key, value in PREMOLARS[0].items() if key != entry}
    assert word in angle_of(first, PREMOLARS[1])["not_measured"]


def test_implants_of_opposite_jaws_are_not_compared() -> None:
    implants = [tilted("A", "13", 0.0, 15.0), tilted("B", "43", 0.0, 15.0)]
    assert "one jaw" in angle_of(*implants)["not_measured"]


def test_three_implants_give_the_largest_angle_and_all_pairs() -> None:
    implants = [
        tilted("A", "33", 0.0, 0.0),
        tilted("B", "43", 0.0, 20.0),
        tilted("C", "36", 5.0, 0.0),
    ]
    angle = angle_of(*implants)
    assert [pair["between"] for pair in angle["pairs"]] == [["A", "B"], ["A", "C"], ["B", "C"]]
    assert angle["value"] == max(pair["value"] for pair in angle["pairs"])


def test_order_of_implants_changes_nothing() -> None:
    implants = [tilted("A", "33", 3.0, 0.0), tilted("B", "43", 0.0, 20.0), tilted("C", "36", 5, 0)]
    values = [angle_of(*order)["value"] for order in permutations(implants)]
    assert max(values) == min(values)
