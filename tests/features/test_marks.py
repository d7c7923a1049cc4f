"""The marks file: what is taken, and one sentence for each thing that is refused."""

import copy
import json
import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from features.input_file import BadInput
from features.marks import (
    BallScale,
    ImplantScale,
    LineScale,
    Marks,
    NoScale,
    PixelScale,
    check_marks,
    load_marks,
)

WIDTH, HEIGHT = 800, 600
FDI = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "fdi.toml").read_text(encoding="utf-8")
)
IMPLANT = {"label": "A", "platform_px": [[300, 100], [400, 104]], "apex_px": [352, 400]}
BALL = {"kind": "ball", "size_mm": 5.0, "ends_px": [[100, 100], [200, 100]]}


def marks(**changes):
    return {"radiofixture": "marks/1", "scale": BALL, "implants": [IMPLANT]} | changes


def implant(**changes):
    return marks(implants=[IMPLANT | changes])


def checked(data):
    return check_marks(data, width=WIDTH, height=HEIGHT, what="marks.json")


def refusal(data):
    with pytest.raises(BadInput) as caught:
        checked(data)
    sentence = str(caught.value)
    assert sentence.startswith("marks.json: ")
    assert "\n" not in sentence
    assert sentence.endswith(".")
    assert ". " not in sentence
    assert "; " in sentence
    return sentence


@pytest.mark.published
@pytest.mark.parametrize("tooth", FDI["permanent"] + FDI["primary"])
def test_every_iso_3950_tooth_is_known(tooth):
    assert checked(implant(tooth=tooth)).implants[0].tooth == tooth


@pytest.mark.published
@pytest.mark.parametrize("tooth", FDI["no_tooth"])
def test_no_other_tooth_is_known(tooth):
    assert f"{tooth} is no FDI tooth number" in refusal(implant(tooth=tooth))


def test_a_tooth_may_be_left_out():
    assert checked(marks()).implants[0].tooth is None


@pytest.mark.parametrize(
    ("scale", "kind"),
    [
        ({"kind": "none"}, NoScale),
        (BALL, BallScale),
        ({"kind": "line", "size_mm": 9, "ends_px": [[10, 10], [10, 90]]}, LineScale),
        ({"kind": "implant_length", "label": "A", "size_mm": 10}, ImplantScale),
        ({"kind": "implant_diameter", "label": "A", "size_mm": 4}, ImplantScale),
        ({"kind": "pixel", "mm_per_px": 0.02, "magnification": 1.05}, PixelScale),
        ({"kind": "dicom"}, None),
    ],
)
def test_every_kind_of_scale_is_taken(scale, kind):
    taken = checked(marks(scale=scale)).scale
    assert taken.kind == scale["kind"]
    assert kind is None or isinstance(taken, kind)


def test_no_scale_is_the_default():
    assert checked({"implants": [IMPLANT]}).scale == NoScale()


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (implant(apex_px=[352, 600]), "implant A: the apex at (352, 600) lies outside the film"),
        (implant(apex_px=[-1, 300]), "implant A: the apex at (-1, 300) lies outside the film"),
        (
            implant(platform_px=[[300, 100], [800, 100]]),
            "implant A: a platform end at (800, 100) lies outside the film (800 × 600 px)",
        ),
        (
            marks(scale=BALL | {"ends_px": [[100, 100], [100, 601]]}),
            "scale: an end at (100, 601) lies outside the film",
        ),
        (implant(platform_px=[[300, 100], [302, 100]]), "platform ends lie on one spot"),
        (implant(apex_px=[352, 110]), "the apex lies on, or too near, the platform line"),
        (implant(apex_px=[700, 116]), "the apex lies on, or too near, the platform line"),
        (
            marks(scale=BALL | {"ends_px": [[100, 100], [110, 100]]}),
            "the ends of the known length are only 10 px apart",
        ),
        (marks(scale=BALL | {"size_mm": 0}), "'scale.size_mm' must be greater than 0.2 (got 0)"),
        (marks(scale=BALL | {"size_mm": -5}), "'scale.size_mm' must be greater than 0.2 (got -5)"),
        (marks(scale=BALL | {"size_mm": 500}), "'scale.size_mm' must be less than or equal to 50"),
        (marks(scale=BALL | {"size_mm": math.nan}), "'scale.size_mm' must be a finite number"),
        (marks(scale=BALL | {"std_mm": -1}), "'scale.std_mm' must be greater than or equal to 0"),
        (marks(scale=BALL | {"colour": "steel"}), "'scale.colour' is not a known entry"),
        (marks(scale={"kind": "ball", "size_mm": 5}), "'scale.ends_px' is missing"),
        (marks(scale={"kind": "coin"}), "'kind' in 'scale' must be one of 'none', 'ball'"),
        (marks(scale={"size_mm": 5}), "'kind' is missing in 'scale'"),
        (
            marks(scale={"kind": "pixel", "mm_per_px": 0}),
            "'scale.mm_per_px' must be greater than 0.0005",
        ),
        (
            marks(scale={"kind": "pixel", "mm_per_px": 0.02, "magnification": 0.9}),
            "'scale.magnification' must be greater than or equal to 1",
        ),
        (
            marks(scale={"kind": "implant_length", "label": "B", "size_mm": 10}),
            "the scale rests on implant 'B', which is not marked; use one of A",
        ),
        (marks(implants=[IMPLANT, IMPLANT]), "two implants carry one label"),
        (marks(implants=[]), "'implants' tuple should have at least 1 item"),
        ({"radiofixture": "marks/1"}, "'implants' is missing"),
        (marks(radiofixture="marks/2"), "'radiofixture' must be 'marks/1' (got 'marks/2')"),
        (marks(notes="x"), "'notes' is not a known entry"),
        (marks(film={"holder": "maybe"}), "'film.holder' must be a valid boolean"),
        (implant(joint="open"), "'implants[0].joint' must be 'seen', 'guessed' or 'hidden'"),
        (implant(tooth=36), "'implants[0].tooth' must be text in quotes (got 36)"),
        (implant(label=""), "'implants[0].label' string should have at least 1 character"),
        (implant(std_px=0), "'implants[0].std_px' must be greater than 0"),
        (implant(apex_px=[352]), "'implants[0].apex_px[1]' is missing"),
        (implant(apex_px=[352, "low"]), "'implants[0].apex_px[1]' must be a valid number"),
        (implant(apex_px=[352, math.inf]), "'implants[0].apex_px[1]' must be a finite number"),
        (implant(platform="x"), "'implants[0].platform' is not a known entry"),
        ([], "'the whole file' must be a group of entries in braces"),
    ],
)
def test_wrong_marks_are_refused_in_one_sentence(data, expected):
    assert expected in refusal(data)


def test_a_point_may_lie_on_the_outermost_half_pixel():
    # an integer is a pixel's centre, so the film ends half a pixel beyond the last
    assert checked(implant(apex_px=[352, HEIGHT - 0.5]))
    refusal(implant(apex_px=[352, HEIGHT - 0.4]))


@given(st.floats(0, 360), st.floats(0.6, 8))
def test_any_body_in_any_direction_is_taken(turn_deg, length_to_width):
    turn = math.radians(turn_deg)
    across, along = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    ends = [[400 + side * 15 * across[0], 300 + side * 15 * across[1]] for side in (-1, 1)]
    reach = 30 * length_to_width
    apex = [400 + reach * along[0], 300 + reach * along[1]]
    taken = checked(implant(platform_px=ends, apex_px=apex)).implants[0]
    assert taken.platform_middle_px == pytest.approx((400, 300))
    assert taken.length_px == pytest.approx(reach)


def test_the_ends_may_come_in_either_order():
    swapped = checked(implant(platform_px=IMPLANT["platform_px"][::-1])).implants[0]
    assert swapped.length_px == checked(marks()).implants[0].length_px


def test_marks_survive_their_own_json(tmp_path):
    path = tmp_path / "film.marks.json"
    taken = checked(marks())
    path.write_text(taken.model_dump_json(), encoding="utf-8")
    assert load_marks(path, width=WIDTH, height=HEIGHT) == taken


def test_marks_of_another_film_are_refused():
    with pytest.raises(BadInput, match="outside the film"):
        check_marks(Marks.model_validate(marks()), width=320, height=240)


def test_the_data_handed_in_is_left_alone():
    data = marks()
    before = copy.deepcopy(data)
    checked(data)
    assert data == before


def test_a_file_is_named_by_its_path(tmp_path):
    path = tmp_path / "film.marks.json"
    path.write_text(json.dumps(marks(scale=BALL | {"size_mm": 0})), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load_marks(path, width=WIDTH, height=HEIGHT)
    assert str(caught.value).startswith(f"{path}: 'scale.size_mm' must be greater")
