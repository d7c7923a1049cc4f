"""The rows in which flutes are looked for."""

import numpy as np
import pytest

from features import apical_rows as rows_of
from features.body import find_body
from features.bore import measure_bore
from features.cross_hole import CrossHole
from tests.features.bodies_on_film import MM_PER_PX, mark, threaded
from tests.features.drawn_bodies import film, knots, rod, rounded


def seen(drawn, hole=None):
    """(rows, body) of a (pixels, truth) pair."""
    pixels, truth = drawn
    body, _ = find_body(pixels.astype(np.float32), mark(truth))
    channel = measure_bore(
        body.strip,
        body.gap_map,
        width_px=body.width_px,
        platform=body.platform,
        tip_px=body.tip_px,
        covered=False,
    )
    return rows_of.apical_rows(body, channel, hole), body


def test_rows_of_a_plain_rod_run_nearly_to_its_flat_end():
    rows, body = seen(film(rod()))
    assert rows.z_px[-1] == pytest.approx(body.tip_px, abs=0.1 * body.width_px)


def test_rows_end_where_the_end_is_rounded_off():
    rows, body = seen(film(rounded(4.0, 10.0, 2.0)))
    begins_px = body.tip_px - 2.0 / MM_PER_PX
    assert begins_px < rows.z_px[-1] < body.tip_px - 0.5 / MM_PER_PX


def test_rows_begin_below_the_channel():
    rows, _ = seen(film(rod(), channel=knots((0.0, 0.9), (6.0, 0.9))))
    assert rows.z_px[0] > 6.0 / MM_PER_PX


def test_a_channel_down_to_the_end_leaves_no_rows():
    rows, _ = seen(film(rod(), channel=knots((0.0, 0.9), (9.6, 0.9))))
    assert rows is None


def test_columns_stay_inside_the_roots_of_a_thread():
    rows, body = seen(threaded(depth_mm=0.5))
    radius = body.outline.width_between(0.5 * body.tip_px, 0.8 * body.tip_px) / 2
    assert rows.u[-1] * radius < 1.6 / MM_PER_PX  # roots lie 1.5 mm from the axis


def swing(z_px, grey, pitch_px):
    """How far grey swings with the turns, over whole ones, at every place across."""
    whole = z_px < z_px[0] + 3 * pitch_px
    wave = np.exp(-2j * np.pi * z_px[whole] / pitch_px)
    grey = grey[whole] - grey[whole].mean(axis=0)
    return abs((grey * wave[:, None]).mean(axis=0)).mean()


def test_a_turn_of_the_thread_is_averaged_out():
    rows, body = seen(threaded())
    z = rows.z_px
    radius = body.outline.width_between(0.5 * body.tip_px, 0.8 * body.tip_px) / 2
    raw = body.strip.at(z[:, None], radius * rows.u) / body.gap_map.contrast
    pitch = body.thread.pitch_px.value
    assert swing(z, rows.grey, pitch) < 0.2 * swing(z, raw, pitch)


def test_rows_at_a_hole_are_left_out():
    free, body = seen(film(rod()))
    middle = 0.7 * body.tip_px
    hole = CrossHole(
        z_px=middle,
        half_width_px=20.0,
        half_height_px=20.0,
        turn_deg=0.0,
        likeness=0.9,
        missing=0.2,
        probability=0.9,
    )
    rows, _ = seen(film(rod()), hole)
    assert (abs(free.z_px - middle) < 20).any()
    assert not (abs(rows.z_px - middle) < 20).any()
