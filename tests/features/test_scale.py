"""Every kind of scale: its value and its uncertainty by their formulas."""

import math
from dataclasses import replace

import numpy as np
import pytest

from features.marks import check_marks
from features.quantity import Measured, NotMeasured
from features.radiograph import Spacing
from features.scale import calibrate
from tests.features.bodies_on_film import radiograph
from tests.features.drawn_bodies import ball
from tests.features.drawn_bodies import ball_ends as ends

IMPLANT = {"label": "A", "platform_px": [[100, 50], [220, 50]], "apex_px": [160, 250]}
LENGTHS = {"length": Measured(400.0, 4.0, "px"), "coronal_width": Measured(130.0, 0.5, "px")}
EVEN = radiograph(np.full((300, 320), 0.5))


def scale_of(scale, film=EVEN, lengths=LENGTHS):
    data = {"radiofixture": "marks/1", "scale": scale, "implants": [IMPLANT]}
    marks = check_marks(data, width=film.width, height=film.height)
    return calibrate(film, marks, lambda _label, key: lengths[key])


def test_no_scale_is_a_reason_and_no_number():
    scale = scale_of({"kind": "none"})
    assert not scale.mm_per_px
    assert "no scale" in scale.mm_per_px.reason
    assert scale.rel_std is None
    assert scale.sets is None
    assert scale.to_json()["mm_per_px"] == {"not_measured": scale.mm_per_px.reason}


def test_a_line_is_its_length_over_its_pixels_with_clicks_size_and_depth_in_its_std():
    line = {"kind": "line", "size_mm": 8.0, "std_mm": 0.1, "depth_std_mm": 2.0}
    scale = scale_of(line | {"ends_px": [[20, 100], [260, 170]]})
    pixels = math.hypot(240, 70)
    # 2 px a click, two of them; 0.3 % per mm of depth
    rel = math.hypot(0.1 / 8.0, 2 * math.sqrt(2) / pixels, 0.003 * 2.0)
    assert scale.mm_per_px.value == pytest.approx(8.0 / pixels)
    assert scale.rel_std == pytest.approx(rel)
    assert scale.sets is None


def test_a_ball_is_its_size_over_its_fitted_diameter_not_over_the_clicks():
    film = radiograph(ball(166.67))
    mark = {"kind": "ball", "size_mm": 5.0, "std_mm": 0.01, "depth_std_mm": 3.0}
    scale = scale_of(mark | {"ends_px": ends(166.67, (5, 0, -5, 0))}, film)
    assert scale.mm_per_px.value == pytest.approx(0.03, rel=0.001)
    # depth (0.9 %) and size (0.2 %); the fit itself adds some 0.1 %
    assert math.hypot(0.009, 0.002) < scale.rel_std < math.hypot(0.009, 0.002, 0.002)


def test_a_ball_that_is_not_there_gives_no_scale():
    scale = scale_of({"kind": "ball", "size_mm": 5.0, "ends_px": [[80, 150], [240, 150]]})
    assert not scale.mm_per_px
    assert "ball" in scale.mm_per_px.reason


def test_a_ball_found_far_from_its_marks_gives_no_scale():
    film = radiograph(ball(120.0))
    marked = ends(120.0, (-8, 0, 8 + 20, 0))
    scale = scale_of({"kind": "ball", "size_mm": 5.0, "ends_px": marked}, film)
    assert not scale.mm_per_px
    assert "mark its two sides again" in scale.mm_per_px.reason


@pytest.mark.parametrize(
    ("kind", "size_mm", "key"),
    [("implant_length", 10.0, "length"), ("implant_diameter", 4.0, "coronal_width")],
)
def test_an_implant_that_sets_the_scale_names_the_measure_it_used_up(kind, size_mm, key):
    scale = scale_of({"kind": kind, "label": "A", "size_mm": size_mm, "std_mm": 0.05})
    length = LENGTHS[key]
    assert scale.mm_per_px.value == pytest.approx(size_mm / length.value)
    assert scale.rel_std == pytest.approx(math.hypot(0.05 / size_mm, length.std / length.value))
    assert scale.sets == ("A", f"{key}_mm")
    assert "says nothing about which family" in scale.sentence


def test_an_implant_that_was_not_measured_sets_no_scale():
    missing = {"length": NotMeasured("the end of the implant is outside the film")}
    mark = {"kind": "implant_length", "label": "A", "size_mm": 10.0}
    scale = scale_of(mark, lengths=missing)
    assert not scale.mm_per_px
    assert "outside the film" in scale.mm_per_px.reason
    assert scale.sets is None


def test_a_typed_pixel_size_is_that_of_the_implant():
    scale = scale_of({"kind": "pixel", "mm_per_px": 0.025, "std_mm_per_px": 0.0005})
    assert scale.mm_per_px.value == 0.025
    assert scale.rel_std == pytest.approx(0.02)


def test_a_typed_detector_pixel_is_divided_by_the_magnification():
    typed = {"kind": "pixel", "mm_per_px": 0.025, "std_mm_per_px": 0.0005}
    scale = scale_of(typed | {"magnification": 1.05, "std_magnification": 0.021})
    assert scale.mm_per_px.value == pytest.approx(0.025 / 1.05)
    assert scale.rel_std == pytest.approx(math.hypot(0.02, 0.021 / 1.05))


def dicom(spacing):
    return scale_of({"kind": "dicom"}, replace(EVEN, spacing=spacing))


@pytest.mark.parametrize(
    ("calibration", "rel"), [("FIDUCIAL", 0.01), ("GEOMETRY", 0.02), (None, 0.02)]
)
def test_a_calibrated_spacing_is_taken_as_it_is(calibration, rel):
    scale = dicom(Spacing(0.024, "patient", calibration))
    assert scale.mm_per_px.value == 0.024
    assert scale.rel_std == pytest.approx(rel)


@pytest.mark.parametrize("plane", ["imager", "scanned", "unknown"])
def test_a_detector_spacing_is_never_taken_for_the_implants(plane):
    scale = dicom(Spacing(0.025, plane))
    # 3-15 mm off the sensor at 300-400 mm: 0.8-5.3 % larger, 3 ± 1.3 %
    assert scale.mm_per_px.value == pytest.approx(0.025 / 1.03)
    assert scale.rel_std == pytest.approx(math.hypot(0.013, 0.002))


def test_a_magnification_from_the_file_wins_over_the_usual_one():
    scale = dicom(Spacing(0.025, "imager", magnification=1.06))
    assert scale.mm_per_px.value == pytest.approx(0.025 / 1.06)
    assert scale.rel_std == pytest.approx(math.hypot(0.01, 0.002))
    assert "1.06" in scale.sentence


def test_a_file_without_a_spacing_gives_a_reason_and_a_way_out():
    scale = dicom(None)
    assert not scale.mm_per_px
    assert "mark something of known size" in scale.mm_per_px.reason
