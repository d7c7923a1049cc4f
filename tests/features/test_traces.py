"""Where each number was taken, drawn back onto the film."""

import math

import numpy as np
import pytest

from features.implant import read_implant
from tests.features.bodies_on_film import (
    EXACT,
    MM_PER_PX,
    half_turned,
    mark,
    read,
    smooth,
    threaded,
)
from tests.features.drawn_bodies import ellipse, film, knots, rod
from tests.features.test_screw_gap import screwed

BORED = film(rod(), channel=knots((0.0, 1.0), (5.0, 1.0)), holes=[ellipse(1.0, 2.0, 7.5)])


def traces(reading):
    kept = {}
    for trace in reading.traces:
        kept.setdefault(trace.measure, []).append(trace)
    return kept


def test_a_width_is_drawn_as_wide_as_the_body_is():
    (line,) = traces(read(smooth()))["coronal_width"]
    # drawn along the fastest change, some 0.03 mm inside the chord's edge on either side
    assert math.dist(*line.points_px) * MM_PER_PX == pytest.approx(4.0, abs=0.15)


@pytest.mark.parametrize("seen", [lambda f: f, half_turned])
def test_the_length_is_drawn_from_the_platform_to_the_apex(seen):
    picture = seen(smooth())
    pixels, truth = picture
    # by hand the beam's tilt is open, and the plane is drawn where it lies on average
    reading = read_implant(pixels.astype(np.float32), mark(truth), holder=True)
    (line,) = traces(reading)["length"]
    (left, right), apex = picture[1]["platform"], picture[1]["apex"]
    platform = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
    assert line.points_px[0] == pytest.approx(platform, abs=1.5)
    assert line.points_px[1] == pytest.approx(apex, abs=1.5)


@pytest.mark.parametrize("turn_deg", [0, 17, 90])
def test_the_outline_runs_along_both_walls_at_any_turn(turn_deg):
    pixels, truth = smooth(turn_deg=turn_deg)
    walls = traces(read((pixels, truth)))["outline"]
    assert len(walls) == 2
    start, end = np.mean(truth["platform"], axis=0), np.array(truth["apex"])
    along = (end - start) / math.dist(start, end)
    for wall in walls:
        points = np.array(wall.points_px) - start
        from_axis = np.abs(points[:, 0] * along[1] - points[:, 1] * along[0]) * MM_PER_PX
        assert np.median(from_axis) == pytest.approx(2.0, abs=0.06)


def test_every_crest_has_its_spot_one_pitch_from_the_next_on_both_walls():
    spots = traces(read(threaded()))["thread_pitch"]
    assert [trace.kind for trace in spots] == ["spots", "spots"]
    for trace in spots:
        rows = np.array(trace.points_px)[:, 1]
        assert len(rows) >= 8
        assert np.diff(rows) * MM_PER_PX == pytest.approx(0.8, abs=0.01)


def test_a_smooth_body_has_no_crest_spots_and_no_channel():
    assert not {"thread_pitch", "bore_width", "bore_depth", "vents"} & set(traces(read(smooth())))


def test_channel_and_vent_are_drawn_where_they_are():
    picture = BORED
    kept = traces(read(picture))
    x, apex_row = picture[1]["apex"]
    (channel,) = kept["bore_width"]
    (vent,) = kept["vents"]
    assert channel.kind == vent.kind == "ring"
    assert np.mean(channel.points_px, axis=0)[0] == pytest.approx(x, abs=1.5)
    centre = np.mean(vent.points_px, axis=0)
    assert centre == pytest.approx((x, apex_row - 2.5 / MM_PER_PX), abs=3)
    (end,) = kept["bore_depth"]
    assert end.points_px[0][1] == pytest.approx(apex_row - 5.0 / MM_PER_PX, abs=4)


def test_every_trace_belongs_to_a_measure_a_finding_or_the_outline():
    for reading in (read(BORED), read(threaded())):
        names = set(reading.measures) | set(reading.findings) | {"outline"}
        assert {trace.measure for trace in reading.traces} <= names


def test_a_gap_beside_a_screw_is_boxed_where_it_was_drawn():
    body = screwed((1.2, 1.5, 1.25))
    (ring,) = traces(read(body, EXACT))["connection_depth"]
    (middle, _), (_, platform) = body[1]["apex"], body[1]["platform"][0]
    x, y = np.array(ring.points_px).T
    assert (np.ptp(x) + 1) * MM_PER_PX == pytest.approx(2.5, abs=0.3)
    assert x.mean() == pytest.approx(middle, abs=2)
    assert (y.min() - platform) * MM_PER_PX == pytest.approx(1.2, abs=0.15)
    assert (y.max() - platform) * MM_PER_PX == pytest.approx(1.5, abs=0.15)


def test_the_space_for_a_part_is_boxed_in_an_open_channel():
    channel = lambda z: np.where(z < 2.0, 1.3, np.where(z < 7.0, 0.9, 0.0))  # noqa: E731
    picture = film(rod(), channel=channel)
    (box,) = traces(read(picture))["connection_depth"]
    rows = np.array(box.points_px)[:, 1]
    assert np.ptp(rows) * MM_PER_PX == pytest.approx(2.0, abs=0.12)
    assert "connection_depth" not in traces(read(BORED))  # of one width all the way
