"""The picture shows the right part of the film, with everything where it was measured."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from features.quantity import Measured
from features.radiograph import Radiograph
from features.reading import ImplantReading, Trace
from identify import overlay

SVG = "{http://www.w3.org/2000/svg}"
HULL = [(100.0, 80.0), (140.0, 80.0), (120.0, 200.0)]


@pytest.fixture(scope="module")
def film():
    pixels = np.linspace(0, 1, 400 * 300, dtype=np.float32).reshape(400, 300)
    return Radiograph(pixels, "f" * 64, 16)


def implant(*traces):
    measures = {"length_mm": Measured(6.0, 0.1, "mm"), "bore_width_mm": Measured(2, 0.1, "mm")}
    return ImplantReading("A", None, measures, {}, {}, (), tuple(traces))


def drawn(film, *traces):
    return ET.fromstring(overlay.draw_overlay(film, implant(*traces), HULL))  # noqa: S314 - our own


def test_a_trace_is_drawn_at_its_own_film_pixels(film):
    root = drawn(film, Trace("length", "line", ((120.0, 80.0), (120.0, 200.0))))
    lines = [line.get("points") for line in root.iter(f"{SVG}polyline")]
    assert set(lines) == {"120.00,80.00 120.00,200.00"}


def test_the_picture_begins_half_a_pixel_before_its_first_pixels_centre(film):
    root = drawn(film)
    x, y, width, height = map(float, root.get("viewBox").split())
    picture = root.find(f"{SVG}image")
    assert (x % 1, y % 1) == (0.5, 0.5)
    assert [float(picture.get(k)) for k in ("x", "y", "width", "height")] == [x, y, width, height]


@pytest.mark.parametrize("hull", [HULL, [(0.0, 0.0), (5.0, 0.0), (2.0, 399.0)]])
def test_the_box_holds_every_point_and_stays_on_the_film(film, hull):
    box = overlay.box_around(hull, film)
    assert box.x >= 0
    assert box.y >= 0
    assert box.x + box.width <= film.width
    assert box.y + box.height <= film.height
    for x, y in hull:
        assert box.x - 0.5 <= x <= box.x + box.width - 0.5
        assert box.y - 0.5 <= y <= box.y + box.height - 0.5


def test_numbers_join_picture_and_table_whatever_the_unit(film):
    traces = (
        Trace("bore_width", "ring", ((118.0, 90.0), (122.0, 90.0), (122.0, 99.0))),
        Trace("length", "line", ((120.0, 80.0), (120.0, 200.0))),
        Trace("outline", "line", ((100.0, 80.0), (100.0, 200.0))),
    )
    assert overlay.trace_numbers(implant(*traces)) == {"length": 1, "bore_width": 2}
    shown = sorted(tag.text for tag in drawn(film, *traces).iter(f"{SVG}text"))
    assert shown == ["1", "2"]


def test_tags_never_cover_each_other(film):
    measures = {f"m{n}_mm": Measured(1.0, 0.1, "mm") for n in range(10)}
    traces = [Trace(f"m{n}", "line", ((110.0, 100.0), (130.0, 100.0))) for n in range(10)]
    crowded = ImplantReading("A", None, measures, {}, {}, (), tuple(traces))
    root = ET.fromstring(overlay.draw_overlay(film, crowded, HULL))  # noqa: S314 - our own
    radius = max(float(c.get("r")) for c in root.iter(f"{SVG}circle"))
    places = [(float(t.get("x")), float(t.get("y"))) for t in root.iter(f"{SVG}text")]
    for index, (x1, y1) in enumerate(places):
        for x2, y2 in places[index + 1 :]:
            assert np.hypot(x1 - x2, y1 - y2) >= 2 * radius


def test_the_picture_is_complete_in_itself(film):
    svg = overlay.draw_overlay(film, implant(), HULL)
    assert re.findall(r'href="([^"]{11})', svg) == ["data:image/"]


def test_showing_grey_keeps_the_order_of_brightness():
    pixels = np.array([[0.2, 0.3], [0.4, 0.9]], np.float32)
    grey = overlay.display_grey(pixels).ravel().astype(int)
    assert (np.diff(grey) >= 0).all()
    assert (grey[0], grey[-1]) == (0, 255)


def test_a_film_of_one_grey_can_be_shown():
    assert overlay.display_grey(np.full((4, 4), 0.5, np.float32)).shape == (4, 4)
