"""A number with its uncertainty, or a reason."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from features.lengths import in_mm
from features.quantity import Measured, NotMeasured, from_parts, parts_of

sizes = st.floats(0, 1e6)


def test_the_parts_of_the_uncertainty_add_in_quadrature():
    assert Measured(10.0, 3.0, "mm", std_scale=4.0).std == 5.0


def test_the_interval_is_95_percent():
    # GUM (JCGM 100:2008) table G.1: coverage factor 1.960 for 95 % of a normal distribution
    low, high = Measured(10.0, 1.0, "mm").interval
    assert (low, high) == (pytest.approx(8.04), pytest.approx(11.96))


@given(st.floats(-1e6, 1e6), sizes, sizes)
def test_the_interval_lies_evenly_about_the_value(value, std_local, std_scale):
    measured = Measured(value, std_local, "mm", std_scale)
    assert sum(measured.interval) / 2 == pytest.approx(value, abs=1e-6)
    assert measured.std >= max(std_local, std_scale)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("place", ["value", "std_local", "std_scale"])
def test_a_number_that_is_none_is_refused_by_name(place, bad):
    numbers = {"value": 1.0, "std_local": 0.1, "std_scale": 0.1} | {place: bad}
    with pytest.raises(ValueError, match=f"'{place}' must be a finite number.*NotMeasured"):
        Measured(**numbers)


@pytest.mark.parametrize("place", ["std_local", "std_scale"])
def test_a_negative_uncertainty_is_refused(place):
    with pytest.raises(ValueError, match="cannot be negative"):
        Measured(**({"value": 1.0, "std_local": 0.1} | {place: -0.1}))


def test_zero_is_a_measurement_and_a_reason_is_none():
    assert Measured(0.0, 0.1)
    assert not NotMeasured("2 crests visible; a pitch needs 3")


def test_a_quantity_cannot_be_changed():
    with pytest.raises(AttributeError):
        Measured(1.0, 0.1).value = 2.0


@pytest.mark.parametrize(
    ("quantity", "expected"),
    [
        (Measured(10.123456, 0.25), {"value": 10.12346, "std": 0.25}),
        (Measured(10.0, 0.3, "mm", 0.4), {"value": 10.0, "std": 0.5, "std_local": 0.3}),
        (NotMeasured("no scale"), {"not_measured": "no scale"}),
    ],
)
def test_json_is_as_in_the_contract(quantity, expected):
    assert quantity.to_json() == expected


def test_parts_add_up_in_squares_and_join_by_name():
    left, right = from_parts(1.0, "px", edge=3.0, blur=4.0), from_parts(1.0, "px", edge=4.0)
    assert left.std == pytest.approx(5.0)
    assert parts_of(left, right) == pytest.approx({"edge": 5.0, "blur": 4.0})
    assert parts_of(Measured(1.0, 2.0, "px")) == {"other": 2.0}


def test_a_scale_keeps_its_own_parts_apart():
    scale = from_parts(0.02, "mm/px", scale_edge=0.0001, scale_depth=0.0002)
    length = in_mm(from_parts(500.0, "px", edge=2.0), scale)
    assert length.std_local == pytest.approx(0.04)
    assert dict(length.parts)["scale_depth"] == pytest.approx(0.1)
    assert sum(std**2 for _, std in length.parts) == pytest.approx(length.std**2)
