"""The front door: the contract's keys, and that no valid film with valid marks ever raises."""

import json
import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from features.lengths import RATIOS
from features.marks import check_marks
from features.quantity import Measured
from features.reading import read_film
from tests.features.bodies_on_film import MM_PER_PX, radiograph, smooth, threaded
from tests.features.drawn_bodies import ellipse, film, knots, rod
from tests.features.simulated_films import films

LENGTHS = {
    "length", "platform_width", "coronal_width", "apical_width", "core_width", "thread_pitch",
    "thread_depth", "bore_width", "bore_depth", "bore_mouth", "collar_height", "crest_mesial",
    "crest_distal",
}  # fmt: skip
ANGLES = {"taper_deg", "bore_cone_deg", "tilt_deg"}


def marks_of(picture, scale=None, **more):
    pixels, truth = picture
    implant = {"label": "A", "platform_px": truth["platform"], "apex_px": truth["apex"]} | more
    data = {"scale": scale or {"kind": "none"}, "implants": [implant]}
    return check_marks(data, width=pixels.shape[1], height=pixels.shape[0])


def reading(picture, scale=None, **more):
    return read_film(radiograph(picture[0]), marks_of(picture, scale, **more))


def strict_json(read):
    """Through a writer that refuses NaN and infinity."""
    return json.loads(json.dumps(read.to_json(), allow_nan=False))


PIXEL = {"kind": "pixel", "mm_per_px": MM_PER_PX, "std_mm_per_px": 0.0003}


def test_the_json_has_exactly_the_contracts_keys():
    out = strict_json(reading(threaded(), PIXEL, tooth="36"))
    assert set(out) == {"radiofixture", "film", "scale", "implants"}
    assert out["radiofixture"] == "reading/1"
    assert set(out["film"]) == {"sha256", "width", "height", "notes"}
    assert set(out["scale"]) == {"mm_per_px", "kind", "sentence"}
    (implant,) = out["implants"]
    assert set(implant) == {"label", "tooth", "measures", "forms", "findings", "vents", "notes"}
    assert set(implant["measures"]) == {f"{key}_mm" for key in LENGTHS} | ANGLES


def test_every_measure_is_a_number_with_its_std_or_a_reason():
    for picture in (threaded(), smooth()):
        measures = strict_json(reading(picture, PIXEL))["implants"][0]["measures"]
        for key, value in measures.items():
            if "not_measured" in value:
                assert set(value) == {"not_measured"}
                assert len(value["not_measured"]) > 10
            else:
                local = {"std_local"} if key.endswith("_mm") and value["value"] else set()
                assert set(value) == {"value", "std"} | local, key
                assert value["std"] > 0


def test_forms_and_findings_give_a_reason_when_they_cannot_be_assessed():
    implant = strict_json(reading(smooth(), PIXEL))["implants"][0]
    for answer in (*implant["forms"].values(), *implant["findings"].values()):
        assert {"state", "probability"} <= set(answer) <= {"state", "probability", "reason"}
        assert "reason" in answer or answer["state"] != "not assessable"


@pytest.mark.parametrize(("scale", "unit"), [(PIXEL, "mm"), (None, "px")])
def test_a_vent_carries_its_unit_in_its_keys(scale, unit):
    pierced = film(rod(), channel=knots((0.0, 1.0), (4.0, 1.0)), holes=[ellipse(1.0, 2.0, 7.0)])
    (vent,) = strict_json(reading(pierced, scale))["implants"][0]["vents"]
    sizes = {f"{key}_{unit}" for key in ("width", "height", "from_apex")}
    assert set(vent) == sizes | {"shape", "contrast_to_noise", "probability"}


def test_without_a_scale_there_are_pixels_and_ratios_and_no_millimetre():
    out = strict_json(reading(threaded()))
    measures = out["implants"][0]["measures"]
    assert set(measures) == {f"{key}_px" for key in LENGTHS} | ANGLES | set(RATIOS.values())
    assert "not_measured" in out["scale"]["mm_per_px"]
    assert "_mm" not in json.dumps(measures)
    assert measures["pitch_to_width"]["value"] == pytest.approx(0.8 / 4.0, rel=0.01)


def test_a_scale_doubled_doubles_every_length_and_leaves_angles_alone():
    fine = reading(threaded(), PIXEL).implants[0].measures
    coarse = reading(threaded(), PIXEL | {"mm_per_px": 2 * MM_PER_PX}).implants[0].measures
    for key, value in fine.items():
        if value:
            factor = 2 if key.endswith("_mm") else 1
            assert coarse[key].value == pytest.approx(factor * value.value)


@pytest.mark.parametrize(
    ("kind", "size_mm", "key"),
    [("implant_length", 10.0, "length_mm"), ("implant_diameter", 4.0, "coronal_width_mm")],
)
def test_the_length_that_sets_the_scale_comes_back_as_it_was_given(kind, size_mm, key):
    read = reading(threaded(), {"kind": kind, "label": "A", "size_mm": size_mm})
    assert read.scale.sets == ("A", key)
    assert read.implants[0].measures[key].value == pytest.approx(size_mm)


def test_two_implants_are_read_apart_under_one_scale():
    (one, truth), (two, _) = smooth(), threaded(length_mm=9.0)
    both = np.hstack([one, two[: one.shape[0]]])
    shift = one.shape[1]
    moved = {
        "platform_px": [(x + shift, y) for x, y in truth["platform"]],
        "apex_px": (truth["apex"][0] + shift, truth["apex"][1]),
    }
    first = {"platform_px": truth["platform"], "apex_px": truth["apex"]}
    implants = [{"label": "A"} | first, {"label": "B"} | moved]
    height, width = both.shape
    marks = check_marks({"scale": PIXEL, "implants": implants}, width=width, height=height)
    read = read_film(radiograph(both), marks)
    assert [implant.label for implant in read.implants] == ["A", "B"]
    found = [implant.findings["threads"].state for implant in read.implants]
    assert found == ["absent", "present"]


def test_an_implant_cut_by_the_films_border_is_read_as_far_as_it_goes():
    pixels, truth = smooth()
    left = round(truth["platform"][0][0])
    edge = {
        "platform": [(max(x - left, 0.0), y) for x, y in truth["platform"]],
        "apex": (truth["apex"][0] - left, truth["apex"][1]),
    }
    out = strict_json(reading((pixels[:, left:], edge), PIXEL))  # the left wall is the border
    widths = out["implants"][0]["measures"]["coronal_width_mm"]
    assert "not_measured" in widths or abs(widths["value"] - 4.0) < 1.96 * widths["std"] + 0.1


def test_marks_on_the_background_of_a_film_measure_no_threaded_implant():
    picture = films()[0]
    height, width = picture.film.pixels.shape
    empty = {"platform_px": [(20, 20), (60, 22)], "apex_px": (40, 150)}
    marks = check_marks({"implants": [{"label": "A"} | empty]}, width=width, height=height)
    out = strict_json(read_film(picture.film, marks))["implants"][0]
    assert out["findings"]["threads"]["state"] != "present"
    assert out["findings"]["rings"]["state"] != "present"


def bar(rng, height, width):
    """A bright, burnt-out or black block from somewhere down to the film's lower border."""
    picture = np.clip(0.3 + 0.02 * rng.standard_normal((height, width)), 0, 1)
    top, left = rng.integers(0, height), rng.integers(0, width)
    picture[top:, left : left + rng.integers(3, width + 3)] = rng.choice([0.0, 0.9, 1.0])
    return picture


def waves(rng, height, width):
    """Bright bands across the film, of any pitch."""
    rows = np.sin(2 * np.pi * np.arange(height) / rng.uniform(2, 20))
    return np.tile(0.5 + 0.5 * rows[:, None], (1, width))


HOSTILE = {
    "even": lambda rng, height, width: np.full((height, width), rng.random()),
    "white": lambda _rng, height, width: np.ones((height, width)),
    "black": lambda _rng, height, width: np.zeros((height, width)),
    "noise": lambda rng, height, width: rng.random((height, width)),
    "soft": lambda rng, height, width: 0.4 + 0.02 * rng.standard_normal((height, width)),
    "checks": lambda _rng, height, width: np.indices((height, width)).sum(axis=0) // 3 % 2,
    "ramp": lambda _rng, height, width: np.tile(np.linspace(0, 1, width), (height, 1)),
    "bar": bar,
    "waves": waves,
}


points = st.tuples(st.floats(0, 1), st.floats(0, 1))
scales = st.sampled_from(["none", "ball", "line", "implant_length", "implant_diameter", "dicom"])


def hostile_marks(scale, places, shape):
    """Marks at shares of the film's size, or None where they are no valid marks."""
    height, width = shape
    ends = [(x * (width - 1), y * (height - 1)) for x, y in places]
    known = {"kind": scale}
    if scale in ("ball", "line"):
        known |= {"size_mm": 5.0, "ends_px": ends[3:]}
    if scale.startswith("implant"):
        known |= {"size_mm": 8.0, "label": "A"}
    implant = {"label": "A", "tooth": "36", "platform_px": ends[:2], "apex_px": ends[2]}
    try:
        return check_marks({"scale": known, "implants": [implant]}, width=width, height=height)
    except ValueError:
        return None


# Warnings count: a mean of nothing is a NaN on its way.
# The same examples each run: a suite that is red by chance helps nobody. Slow films are not faults.
@pytest.mark.filterwarnings("error")
@settings(
    max_examples=50,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
@given(
    kind=st.sampled_from(sorted(HOSTILE)),
    shape=st.tuples(st.integers(2, 110), st.integers(2, 110)),
    seed=st.integers(0, 2**31),
    scale=scales,
    places=st.lists(points, min_size=5, max_size=5),
    joint=st.sampled_from(["seen", "guessed", "hidden"]),
)
def test_any_film_with_any_valid_marks_is_read_without_a_fault(
    kind, shape, seed, scale, places, joint
):
    marks = hostile_marks(scale, places, shape)
    assume(marks is not None)
    implant = marks.implants[0].model_copy(update={"joint": joint})
    read = read_film(
        radiograph(HOSTILE[kind](np.random.default_rng(seed), *shape)),
        marks.model_copy(update={"implants": (implant,)}),
    )
    assert strict_json(read)["implants"][0]["label"] == "A"
    for measure in read.implants[0].measures.values():
        assert not isinstance(measure, Measured) or measure.std > 0
    for trace in read.implants[0].traces:
        assert all(math.isfinite(value) for point in trace.points_px for value in point)
