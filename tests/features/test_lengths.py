"""Pixels into millimetres, and ratios."""

import math

import pytest

from features.finding import Vent
from features.lengths import RATIOS, in_mm, ratios, vent_in_mm, with_units
from features.quantity import Measured, NotMeasured

SCALE = Measured(0.03, 0.0003, "mm/px")
LOST = NotMeasured("the end of the implant is outside the film")
MEASURES = {
    "length": Measured(400.0, 4.0, "px"),
    "platform_width": Measured(137.0, 0.7, "px"),
    "coronal_width": Measured(130.0, 0.5, "px"),
    "apical_width": LOST,
    "core_width": Measured(110.0, 0.6, "px"),
    "thread_pitch": Measured(27.0, 0.1, "px"),
    "thread_depth": Measured(11.0, 0.5, "px"),
    "bore_width": Measured(66.0, 3.0, "px"),
    "bore_depth": Measured(200.0, 5.0, "px"),
    "bore_mouth": Measured(90.0, 4.0, "px"),
    "collar_height": Measured(0.0, 6.0, "px"),
    "taper_deg": Measured(1.5, 0.2, "deg"),
    "tilt_deg": NotMeasured("no thread"),
}


def test_a_length_keeps_its_own_error_and_the_scales_apart():
    length = in_mm(MEASURES["length"], SCALE)
    assert length.value == pytest.approx(12.0)
    assert length.std_local == pytest.approx(0.12)
    assert length.std_scale == pytest.approx(0.12)  # 1 % of 12 mm
    assert length.std == pytest.approx(math.hypot(0.12, 0.12))


def test_every_length_of_a_film_carries_the_same_relative_scale_error():
    out = with_units(MEASURES, SCALE)
    lengths = [q for key, q in out.items() if key.endswith("_mm") and q and q.value]
    assert len(lengths) == 9
    for length in lengths:
        assert length.std_scale / length.value == pytest.approx(0.01)
        assert length.unit == "mm"


def test_with_a_scale_every_length_is_in_mm_and_angles_stay():
    out = with_units(MEASURES, SCALE)
    assert set(out) == {k if k.endswith("_deg") else f"{k}_mm" for k in MEASURES}
    assert out["taper_deg"] is MEASURES["taper_deg"]


def test_without_a_scale_lengths_stay_in_px_and_ratios_are_added():
    out = with_units(MEASURES, NotMeasured("no scale"))
    pixels = {k if k.endswith("_deg") else f"{k}_px" for k in MEASURES}
    assert set(out) == pixels | set(RATIOS.values())
    assert out["length_px"] == MEASURES["length"]


def test_ratios_do_not_depend_on_the_scale():
    in_px = ratios(MEASURES)
    for mm_per_px in (0.01, 0.05):
        scaled = {
            k: Measured(q.value * mm_per_px, q.std * mm_per_px, "mm") if q else q
            for k, q in MEASURES.items()
        }
        for key, ratio in ratios(scaled).items():
            if ratio:
                assert ratio.value == pytest.approx(in_px[key].value)
                assert ratio.std == pytest.approx(in_px[key].std)


def test_the_std_of_a_ratio_is_that_of_both_lengths_together():
    pitch = ratios(MEASURES)["pitch_to_width"]
    assert pitch.value == pytest.approx(27 / 130)
    assert pitch.std == pytest.approx(27 / 130 * math.hypot(0.1 / 27, 0.5 / 130))
    assert pitch.std_scale == 0.0


def test_a_ratio_of_nothing_keeps_the_std_of_its_length():
    collar = ratios(MEASURES)["collar_to_width"]
    assert collar.value == 0.0
    assert collar.std == pytest.approx(6 / 130)


@pytest.mark.parametrize("scale", [SCALE, NotMeasured("no scale")])
def test_what_was_not_measured_passes_through_with_its_reason(scale):
    out = with_units(MEASURES, scale)
    name = "apical_width_mm" if scale else "apical_width_px"
    assert out[name] is LOST
    if not scale:
        assert out["apical_to_width"] is LOST


def test_without_the_bodys_width_every_ratio_says_why():
    out = ratios(MEASURES | {"coronal_width": NotMeasured("the wall is burnt out")})
    assert not any(out.values())
    assert "the wall is burnt out" in out["length_to_width"].reason
    assert out["apical_to_width"] is LOST


def test_a_vent_is_in_mm_where_there_is_a_scale():
    px = [Measured(v, 3.0, "px") for v in (40.0, 80.0, 100.0)]
    vent = Vent("oblong", *px, contrast_to_noise=12.0, probability=0.9)
    scaled = vent_in_mm(vent, SCALE)
    found = [q.value for q in (scaled.width, scaled.height, scaled.from_apex)]
    assert found == pytest.approx([1.2, 2.4, 3.0])
    assert scaled.shape == "oblong"
    assert vent_in_mm(vent, NotMeasured("no scale")) is vent
