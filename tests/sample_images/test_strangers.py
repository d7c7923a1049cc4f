"""Implants that belong to no family."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sample_images.strangers import KINDS, THINNEST_WALL_MM, draw_stranger
from tests.sample_images.sections import area_mm2


def stranger(kind, seed=2):
    return draw_stranger(kind, np.random.default_rng(seed))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_draws_sound_bodies_that_differ_by_seed(kind):
    bodies = [stranger(kind, seed) for seed in range(10)]
    for fixture in bodies:
        assert fixture.thinnest_wall_mm() >= THINNEST_WALL_MM
        assert len(fixture.parts()) == 1
        at = 0.5 * fixture.length_mm
        assert area_mm2(fixture.body(), at, 4.0, 60) > 0.5
    assert len({fixture.length_mm for fixture in bodies}) > 5
    assert stranger(kind).sizes == stranger(kind).sizes


def test_there_are_at_least_six_kinds_and_others_are_refused():
    assert len(KINDS) >= 6
    with pytest.raises(ValueError, match="'kind' must be one of hourglass"):
        stranger("plain")


def test_an_hourglass_is_thinnest_at_its_middle():
    envelope = stranger("hourglass").envelope
    ends = [float(envelope(share * envelope.end_mm)) for share in (0.05, 0.5, 0.9)]
    assert ends[1] < 0.7 * min(ends[0], ends[2])


def test_a_waist_is_narrow_between_two_drums():
    envelope = stranger("waisted").envelope
    above, waist, below = (float(envelope(share * envelope.end_mm)) for share in (0.2, 0.5, 0.8))
    assert waist == pytest.approx(0.55 * above, rel=0.02)
    assert below == pytest.approx(above, rel=0.02)


def test_three_flats_leave_a_triangle_and_two_leave_a_slab():
    for kind, most in (("three_flats", 0.9), ("two_flats", 0.95)):
        fixture = stranger(kind)
        at = 0.6 * fixture.length_mm
        crest = math.pi * float(fixture.envelope(at)) ** 2
        flat = area_mm2(fixture.body(), at, 3.2, 300)
        whole = area_mm2(fixture_without_flats(fixture).body(), at, 3.2, 300)
        assert flat < most * whole <= most * crest


def fixture_without_flats(fixture):
    return replace(fixture, shaved=())


def test_the_octagon_stands_on_a_square_thread():
    fixture = stranger("octagon_plateau")
    assert fixture.index == ("outside", "octagon")
    assert fixture.threads[-1].pitch_mm > 1.5
