"""The body under a mark: its ends, and the difference between a thread and a wall that repeats."""

import numpy as np
import pytest

from features.body import find_body
from features.slant import TILTS_DEG
from features.thread_depth import thread_depth
from tests.features.bodies_on_film import EXACT, MM_PER_PX, mark, smooth, threaded


def body_of(film, off=EXACT, **more):
    pixels, truth = film
    return find_body(pixels.astype(np.float32), mark(truth, off, **more))


def test_heights_are_shares_of_the_found_length_from_the_found_platform():
    body, notes = body_of(smooth())
    assert body.height(0.0) == body.platform.value
    assert body.height(1.0) == pytest.approx(body.tip.value)
    assert (body.tip.value - body.edge.value) * MM_PER_PX == pytest.approx(9.0, abs=0.05)
    assert body.width_px * MM_PER_PX == pytest.approx(4.0, abs=0.08)
    assert notes == []


def test_a_platform_lies_between_its_edge_and_its_mark_nearer_the_surer():
    off = 4.0  # of both ends: 2 standard deviations
    rows = []
    for std_px in (0.5, 2.0, 12.0):
        body, _ = body_of(smooth(), ((0, off), (0, off), (0, 0)), std_px=std_px)
        rows.append(body.strip.axis.to_film(body.platform.value, 0.0)[1])
    _, truth = smooth()
    away = np.array(rows) - truth["platform"][0][1]
    assert away[0] > away[1] > away[2]
    assert away[0] == pytest.approx(off, abs=1.0)
    # Above a rod whose tilt is not known the edge stands by a usual overhang.
    assert away[2] == pytest.approx(2.0, abs=1.0)


def test_a_smooth_rod_leaves_the_tilt_open_so_its_platform_lies_a_usual_overhang_below_its_edge():
    body, _ = body_of(smooth())
    under = body.platform.value - body.edge.value
    assert 0.0 < under < body.rim_px * body.slant.overhang[TILTS_DEG == 10][0]
    assert dict(body.platform.parts)["tilt"] > 0.5 * under  # known no better than that
    marked, _ = body_of(smooth(), joint="hidden")
    assert marked.platform == marked.edge  # a hand marks the plane itself


def test_an_axis_marked_far_off_the_walls_is_worth_a_note():
    _, notes = body_of(smooth(), ((0, 0), (0, 0), (30, 0)))  # 30 px of 300: 5.7°
    assert any("off the marked axis" in note for note in notes)


def test_a_real_thread_has_its_depth():
    body, _ = body_of(threaded(pitch_mm=0.8, depth_mm=0.35))
    depth = thread_depth(body.walls)
    assert depth.value * MM_PER_PX == pytest.approx(0.35, abs=0.05)


def test_brightness_that_repeats_along_a_smooth_wall_is_not_a_thread():
    pixels, truth = smooth()
    rows = np.arange(pixels.shape[0])[:, None]
    striped = pixels + 0.02 * np.cos(2 * np.pi * rows / 27.0)  # a grid's lines, both sides alike
    body, _ = body_of((striped, truth))
    assert not body.thread.pitch_px


def test_an_apex_off_the_film_is_noted_and_taken_where_it_was_marked():
    pixels, truth = smooth()
    cut = pixels[: round(truth["apex"][1]) - 20]
    inside = truth | {"apex": (truth["apex"][0], float(len(cut) - 2))}
    body, notes = body_of((cut, inside))
    assert not body.tip
    assert body.tip_px == body.strip.axis.length_px
    assert any("apex was taken where it was marked" in note for note in notes)
