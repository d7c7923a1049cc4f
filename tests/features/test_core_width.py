"""The core on whole bodies: told, hidden by the turns themselves, or not to be told from a wall."""

from dataclasses import replace

import numpy as np
import pytest

from features import core_width as core
from features.body import find_body
from tests.features.bodies_on_film import mark, smooth, threaded


def body_of(drawn):
    pixels, truth = drawn
    return find_body(pixels.astype(np.float32), mark(truth))[0]


def test_the_core_of_a_thread_is_its_roots():
    found = core.core_width(body_of(threaded()), 10.0)
    assert found.value * 0.03 == pytest.approx(4.0 - 2 * 0.35, abs=0.06)


def test_turns_that_cover_each_others_roots_tell_no_core():
    body = body_of(threaded(pitch_mm=0.3, depth_mm=0.35, tilt_deg=10.0))
    assert body.thread.pitch_px.value * 0.03 == pytest.approx(0.3, rel=0.05)
    assert "cover each other's roots" in core.core_width(body, 10.0).reason


@pytest.mark.parametrize(
    ("chance", "why"), [(0.9, "turns are seen"), (0.5, "whether the walls have a thread")]
)
def test_turns_without_a_pitch_tell_no_core(chance, why):
    body = body_of(smooth())
    seen = replace(body, thread=replace(body.thread, probability=chance))
    assert core.core_width(body, 10.0)
    assert why in core.core_width(seen, 10.0).reason


def test_turns_finer_than_a_thread_is_looked_for_tell_no_core():
    body = body_of(threaded(pitch_mm=0.24, depth_mm=0.2, tilt_deg=3.0))
    assert not body.thread.pitch_px  # 6 % of the width
    assert "too fine" in core.core_width(body, 10.0).reason


@pytest.mark.parametrize(("hidden", "there"), [(0.03, True), (0.07, False)])
def test_where_a_deep_thread_could_hide_the_core_is_not_said_to_be_the_envelope(
    hidden, there, monkeypatch
):
    body = body_of(smooth())
    assert not body.thread.pitch_px
    monkeypatch.setattr(core, "least_depth_px", lambda _: hidden * body.width_px)
    found = core.core_width(body, 10.0)
    assert bool(found) == there
    assert there or "could hide" in found.reason
