import math

import numpy as np
import pytest

from features.axes import axes_angle, axis_direction
from features.body import find_body
from features.marks import check_marks
from features.quantity import from_parts
from features.reading import read_film
from tests.features.bodies_on_film import mark, radiograph, threaded
from tests.features.simulated_films import films


def direction(degrees, std=0.2):
    return from_parts(degrees, "deg", walls=std)


@pytest.mark.parametrize(
    ("first", "second", "between"),
    [(90, 78, 12), (-90, 78, 12), (1, 179, 2), (0, 90, 90), (30, 30, 0)],
)
def test_the_angle_is_the_smaller_one_whichever_way_the_axes_point(first, second, between):
    assert axes_angle(direction(first), direction(second)).value == pytest.approx(between)


def test_both_axes_errors_add_up_as_independent_ones():
    assert axes_angle(direction(0, 0.3), direction(9, 0.4)).std == pytest.approx(0.5)


def test_the_direction_of_a_threaded_body_is_found_within_its_interval():
    pixels, truth = threaded()
    body, _ = find_body(pixels.astype(np.float32), mark(truth))
    found = axis_direction(body)
    (x1, y1), (x2, y2) = truth["platform"]
    x, y = truth["apex"]
    true = math.degrees(math.atan2(y - (y1 + y2) / 2, x - (x1 + x2) / 2))
    assert found.interval[0] <= true <= found.interval[1]
    assert found.std < 0.6  # of any use when two implants are compared


def test_two_implants_read_together_are_given_the_angle_between_them():
    left, right = [f for f in films() if f.truth["view"]["jaw"] == "lower"][:2]
    film = radiograph(np.hstack([left.film.pixels, right.film.pixels]))
    first, second = (f.marks.implants[0].model_dump() for f in (left, right))
    moved = [[x + left.film.width, y] for x, y in [*second["platform_px"], second["apex_px"]]]
    second |= {"label": "B", "platform_px": moved[:2], "apex_px": moved[2]}
    data = {"radiofixture": "marks/1", "implants": [first | {"label": "A"}, second]}
    reading = read_film(film, check_marks(data, width=film.width, height=film.height))
    (pair,) = reading.to_json()["between_implants"]
    assert pair["labels"] == ["A", "B"]
    true = abs(true_direction(left) - true_direction(right))
    assert pair["angle_deg"]["value"] == pytest.approx(true, abs=1.96 * pair["angle_deg"]["std"])


def true_direction(film):
    points = film.truth["points_px"]
    x, y = np.array(points["apex"]) - np.mean(points["platform"], axis=0)
    return math.degrees(math.atan2(y, x))


def test_a_single_implant_has_no_angle_to_another():
    film = films()[0]
    assert "between_implants" not in read_film(film.film, film.marks).to_json()
