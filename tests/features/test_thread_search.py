"""Whether there is a thread: edges drawn as formulas, and whole bodies that are hard to tell."""

from dataclasses import replace

import numpy as np
import pytest

from features import thread_search
from features.helix import read_helix, thread_and_rings
from features.quantity import from_parts
from features.thread_judge import thread_probability
from features.thread_search import least_depth_px, search_thread
from features.threads import strongest_comb, wall_comb
from tests.features.bodies_on_film import followed, smooth, threaded
from tests.features.drawn_bodies import ellipse, film, rod
from tests.features.drawn_edges import Z, outline, thread, wave


def test_turns_above_and_below_a_plain_band_are_a_thread_whose_pitch_is_not_told():
    edge = np.where(np.abs(Z - 150) < 90, 60.0, wave(4.0))
    strip, _, _ = followed(smooth())
    found = search_thread(
        replace(strip, axis=replace(strip.axis, length_px=300.0)), outline(edge, edge)
    )
    assert found.probability > 0.8
    assert "too few" in found.pitch_px.reason


def test_few_turns_that_stand_level_are_as_likely_rings_and_half_a_turn_off_none():
    strip, _, _ = followed(smooth())
    strip = replace(strip, axis=replace(strip.axis, length_px=300.0))
    said = []
    for phase in (0.0, 0.5):
        # bent walls: no comb repeats on them
        left, right = (np.where(np.abs(Z - 150) < 90, 60.0, wave(4.0, p)) for p in (0.0, phase))
        found = search_thread(strip, outline(left, right))
        helix = read_helix(strip, outline(left, right), found)
        said.append({key: f.state for key, f in thread_and_rings(found, helix).items()})
    assert said[0] == dict.fromkeys(("threads", "rings"), "not assessable")
    assert said[1] == {"threads": "present", "rings": "absent"}


def test_a_thread_too_fine_for_a_body_of_usual_width_is_found_on_a_wide_one():
    strip, _, _ = followed(smooth())
    strip = replace(strip, axis=replace(strip.axis, length_px=300.0))
    pitch = 15.0
    left, right = (140 + 6 * np.cos(2 * np.pi * (Z / pitch - phase)) for phase in (0.0, 0.5))
    found = search_thread(strip, outline(left, right))
    assert found.pitch_px.value == pytest.approx(pitch, rel=0.01)
    assert found.probability > 0.9


def test_a_fine_thread_on_the_neck_alone_is_not_the_bodys():
    # a plain band between turns too few for a comb, and a neck whose fine thread is one
    strip, _, _ = followed(smooth())
    strip = replace(strip, axis=replace(strip.axis, length_px=300.0))
    fine = np.where(Z < 130, 6 * np.cos(2 * np.pi * Z / 13.0), 0.0)
    bumps = sum(10 * np.exp(-0.5 * ((Z - at) / 9) ** 2) for at in (146.0, 190.0, 262.0))
    found = search_thread(strip, outline(140 + fine + bumps, 140 + fine + bumps))
    assert "too few" in found.pitch_px.reason
    assert found.probability > 0.8


def test_a_fine_thread_on_the_neck_does_not_end_the_search_for_the_one_below(monkeypatch):
    strip, edges, _ = followed(threaded())
    coarse = strongest_comb(wall_comb(strip, edges, 40.0, 300.0), width_px=edges.typical_width_px)
    fine = replace(coarse, pitch_px=from_parts(12.0, "px", edge=0.1), from_px=5.0, to_px=60.0)
    chances = {12.0: 0.95}
    monkeypatch.setattr(thread_search, "_looks", lambda *_: iter([fine, coarse]))
    monkeypatch.setattr(
        thread_search,
        "thread_probability",
        lambda found, _: chances.get(found.pitch_px.value, 0.99),
    )
    assert search_thread(strip, edges).pitch_px == coarse.pitch_px


@pytest.mark.parametrize(
    ("pitch_mm", "depth_mm", "width_mm"), [(0.8, 0.08, 4.0), (1.3, 0.3, 4.0), (2.4, 0.15, 2.4)]
)
def test_shallow_and_very_coarse_threads_are_found(pitch_mm, depth_mm, width_mm):
    strip, edges, _ = followed(threaded(pitch_mm, depth_mm, 1, width_mm, 14.0))
    found = search_thread(strip, edges)
    assert found.probability > 0.5
    assert found.pitch_px.value * 0.03 == pytest.approx(pitch_mm, rel=0.03)


def test_a_row_of_holes_beside_both_walls_is_no_thread():
    holes = [ellipse(0.9, 0.9, z) for z in (2.0, 3.4, 4.8, 6.2, 7.6)]
    shifted = [lambda t, z, h=h, s=s: h(t - s, z) for h in holes for s in (-1.3, 1.3)]
    strip, edges, _ = followed(film(rod(), holes=shifted))
    found = search_thread(strip, edges)
    assert not found.pitch_px
    assert found.probability < 0.5


def test_a_smooth_rod_is_hardly_likely_threaded():
    strip, edges, _ = followed(smooth())
    found = search_thread(strip, edges)
    assert not found.pitch_px
    assert found.probability < 0.2


@pytest.mark.parametrize("noise", [0.2, 0.6])
def test_a_thread_twice_as_deep_as_the_least_would_have_been_believed(noise):
    def rough(seed):
        return noise * np.random.default_rng(seed).standard_normal(len(Z))

    least = least_depth_px(outline(60 + rough(1), 60 + rough(2)))
    waved = outline(wave(least) + rough(1), wave(least, 0.5) + rough(2))  # an amplitude: depth / 2
    assert thread_probability(thread(0.3), waved) > 0.8


def test_on_rougher_walls_a_thread_must_be_deeper_to_show():
    calm, rough = (
        outline(*(60 + s * np.random.default_rng(n).standard_normal(len(Z)) for n in (1, 2)))
        for s in (0.1, 1.0)
    )
    assert least_depth_px(rough) > 2 * least_depth_px(calm)


def test_where_no_thread_is_seen_the_least_depth_is_said():
    strip, edges, _ = followed(smooth())
    assert "% of the body's width would have" in search_thread(strip, edges).pitch_px.reason


@pytest.mark.parametrize(
    ("pitches", "seen"), [((30.0, 30.3, 29.8), True), ((30.0, 30.3, 44.0), False)]
)
def test_a_faint_thread_is_one_where_three_looks_find_its_pitch(monkeypatch, pitches, seen):
    looks = [replace(thread(), pitch_px=from_parts(p, "px", edge=0.1)) for p in pitches]
    monkeypatch.setattr(thread_search, "_looks", lambda *_: iter(looks))
    monkeypatch.setattr(thread_search, "thread_probability", lambda *_: 0.5)
    strip, _, _ = followed(smooth())
    found = search_thread(strip, outline(wave(0.0), wave(0.0)))
    assert (found.probability > 0.8) == seen
    assert not found.pitch_px
    assert ("too few" in found.pitch_px.reason) == seen
