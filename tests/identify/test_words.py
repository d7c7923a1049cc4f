"""Numbers as people read them."""

import pytest

from features.quantity import Measured, NotMeasured, from_parts
from identify import words
from identify.knowledge import load_notes
from tests.features.simulated_films import films


@pytest.mark.parametrize(
    ("value", "std", "unit", "text"),
    [
        (10.04, 0.128, "mm", "10.04 ± 0.25 mm"),  # half width 0.251: two digits, it begins with 2
        (4.02, 0.0447, "mm", "4.02 ± 0.09 mm"),  # 0.0876
        (0.7, 0.0077, "mm", "0.700 ± 0.015 mm"),
        (2.34, 0.2, "deg", "2.3 ± 0.4°"),
        (189.2, 3.0, "px", "189 ± 6 px"),
        (500.0, 20.0, "px", "500 ± 39 px"),
        (3.0, 0.0, "mm", "3 mm"),
        (-0.4, 0.5, "deg", "−0.4 ± 1.0°"),
    ],
)
def test_value_and_interval_are_rounded_together(value, std, unit, text):
    assert words.measured_text(Measured(value, std, unit)) == text


def test_where_there_is_no_number_its_reason_stands():
    assert words.quantity_text(NotMeasured("2 crests visible")) == "2 crests visible"


@pytest.mark.parametrize(
    ("probability", "text"),
    [(0.0, "under 1 %"), (0.0099, "under 1 %"), (0.5, "50 %"), (0.9951, "over 99 %")],
)
def test_nothing_is_ever_said_to_be_certain_or_impossible(probability, text):
    assert words.percent(probability) == text


@pytest.mark.parametrize(
    ("points", "text"), [(3.14, "+3.1"), (-7.06, "−7.1"), (0.04, "0"), (-0.04, "0")]
)
def test_points_carry_their_sign_unless_they_are_nothing(points, text):
    assert words.points_text(points) == text


def test_a_length_in_pixels_carries_the_words_of_its_millimetres():
    assert words.measure_label("length_px") == words.measure_label("length_mm") == "Length"


def test_measures_come_in_reading_order_in_every_unit():
    keys = ["bore_width_px", "taper_deg", "length_px", "unheard_of"]
    assert sorted(keys, key=words.measure_order) == [
        "length_px",
        "taper_deg",
        "bore_width_px",
        "unheard_of",
    ]


def test_the_sources_of_an_uncertainty_come_largest_first_and_small_ones_are_left_out():
    length = from_parts(10.0, "mm", edge=0.3, tilt=0.4, marks=0.05)
    said = words.sources_text(length)
    assert said == "the tilt of the beam 63 % · noise at the edges 36 %"


def test_every_source_named_by_the_measuring_has_words():
    told = {
        name for film in films() for q in film.implant.measures.values() if q for name, _ in q.parts
    }
    assert told
    assert told <= set(words.SOURCES)


def test_command_line_and_record_use_one_name_for_one_thing():
    checklist = load_notes().checklist
    for key, entry in checklist.items.items():
        if key in words.MEASURES or key in words.FINDINGS:
            assert words.item_label(key) == entry.label
