"""The gap left round a screw below a seated part, drawn exactly."""

import math
from dataclasses import replace

import numpy as np
import pytest

from features.body import find_body
from features.bore import Bore
from features.finding import Finding
from features.quantity import NotMeasured
from features.screw_gap import Gap, Inside, find_faint_gap, find_gap
from tests.features.bodies_on_film import EXACT, half_turned, mark, read
from tests.features.drawn_bodies import MM_PER_PX, chord, film, knots
from tests.features.simulated_films import films

RIM_MM = 4.0
COVERED = knots((-4.0, 1.9), (-0.01, 1.9), (0.0, 2.0), (10.0, 2.0))
SHANK_MM = 0.6


def screwed(*gaps, radius=COVERED, channel=None, **more):
    """A body with `gaps` of (from, to, radius) round a shank, the rest of it full."""

    def missing(t, z):
        gone = sum(
            ((z > top) & (z < end)) * (chord(wide, t) - chord(SHANK_MM, t))
            for top, end, wide in gaps
        )
        return gone / np.maximum(chord(radius(z), t), 1e-9)

    return film(radius, channel=channel, notch=missing, **more)


OPEN = NotMeasured("not looked at")
FILLED = Bore(Finding("not assessable", 1.0, "it is filled"), OPEN, OPEN, OPEN, OPEN, OPEN)
WELL = replace(FILLED, finding=Finding("present", 0.9), tapped=0.05)


def gap_in(body, turned=lambda drawn: drawn, find=find_gap, **more):
    pixels, truth = turned(body)
    body = find_body(pixels.astype(np.float32), mark(truth))[0]
    return find(body, Inside.of(body, RIM_MM / MM_PER_PX), **more)


def faint_gap_in(body, channel=FILLED):
    return gap_in(body, find=find_faint_gap, channel=channel)


@pytest.mark.parametrize("seen", [lambda drawn: drawn, half_turned])
@pytest.mark.parametrize(("top", "end"), [(1.2, 1.5), (2.4, 2.7), (3.4, 3.5)])
def test_a_gap_below_a_foot_is_found_where_it_is(top, end, seen):
    gap = gap_in(screwed((top, end, 1.25)), seen)
    # the platform below a part as wide as it is found no better than that: 0.05 of the rim
    assert gap.begins * RIM_MM == pytest.approx(top, abs=0.2)
    assert gap.narrows * RIM_MM == pytest.approx(end, abs=0.2)
    # where its dip is 0.4 of that beside the shank: 2·√(R² − 0.16·(R² − s²))
    level = 2 * math.sqrt(1.25**2 - 0.16 * (1.25**2 - SHANK_MM**2))
    assert gap.wide * RIM_MM == pytest.approx(level, abs=0.15)


def test_the_space_for_a_part_ends_where_the_channel_of_the_screw_alone_begins():
    gap = gap_in(screwed((1.0, 1.5, 1.3), (1.5, 3.5, 0.8)))
    assert gap.narrows * RIM_MM == pytest.approx(1.5, abs=0.12)
    assert gap.screw_px * MM_PER_PX == pytest.approx(3.5, abs=0.2)


def test_a_screw_that_runs_in_alone_from_the_platform_leaves_no_space_for_a_part():
    # beside its shank only the roots of the tapped wall show, 0.35 mm apart (M1.6 coarse, ISO 261)
    roots = [(0.35 * turn, 0.35 * turn + 0.15, 0.85) for turn in range(8)]
    gap = gap_in(screwed(*roots))
    assert gap.narrows * RIM_MM < 0.3
    assert gap.screw_px * MM_PER_PX == pytest.approx(roots[-1][1], abs=0.2)


def test_the_empty_index_under_a_low_part_is_as_deep_as_it_is():
    gap = gap_in(screwed((0.0, 1.6, 1.3)))
    assert gap.narrows * RIM_MM == pytest.approx(1.6, abs=0.12)


def test_below_a_wide_bevel_the_space_goes_on_to_the_floor_of_the_narrower_index():
    gap = gap_in(screwed((0.0, 0.25, 1.4), (0.25, 1.6, 1.0)))
    assert gap.narrows * RIM_MM == pytest.approx(1.6, abs=0.12)


@pytest.mark.parametrize("channel", [None, knots((4.0, 1.0), (6.0, 1.0))])
def test_neither_full_metal_nor_an_empty_end_below_a_screw_is_a_gap_round_one(channel):
    assert gap_in(film(COVERED, channel=channel)) is None


@pytest.mark.parametrize("channel", [knots((0.0, 1.0), (6.0, 1.0)), knots((0.0, 1.5), (3.0, 0.8))])
def test_an_open_channel_holds_no_screw(channel):
    assert gap_in(film(knots((0.0, 2.0), (10.0, 2.0)), channel=channel)) is None


def test_grain_is_no_gap():
    bodies = [film(COVERED, noise=0.03, seed=seed) for seed in range(6)]
    assert not any(gap_in(body) or faint_gap_in(body) for body in bodies)


def test_a_gap_lost_in_grain_is_found_where_it_is_looked_for_closely():
    # of five such films one shows it plainly
    bodies = [screwed((1.2, 1.5, 0.9), noise=0.04, seed=seed) for seed in range(5)]
    found = [(gap_in(body), faint_gap_in(body)) for body in bodies]
    right = [
        sum(bool(g) and abs(g.begins * RIM_MM - 1.2) < 0.25 for g in gaps)
        for gaps in zip(*found, strict=True)
    ]
    assert right[1] >= 3
    assert right[1] > right[0]


def test_above_the_end_of_a_smooth_well_no_faint_gap_is_looked_for():
    body = screwed((1.2, 1.5, 1.25))
    assert faint_gap_in(body) is not None
    assert faint_gap_in(body, WELL) is None


def test_the_channels_end_is_sought_below_the_screw():
    body = screwed((1.2, 1.5, 1.25), channel=knots((4.5, 0.9), (6.5, 0.9)))
    depth = read(body, EXACT).measures["bore_depth"]
    assert depth.value * MM_PER_PX == pytest.approx(6.5, abs=0.15)


def test_a_low_part_that_passes_for_a_bare_top_is_given_away_by_its_screw():
    low = knots((-0.7, 1.4), (-0.01, 1.4), (0.0, 2.0), (10.0, 2.0))
    assert read(film(low), EXACT).forms["top_form"].state == "male prism"
    assert read(screwed((0.0, 2.0, 1.3), radius=low), EXACT).forms["top_form"].state == "covered"


def test_a_short_or_a_low_gap_gives_no_screw_away():
    assert Gap(0.3, 0.5, 0.5, 0.6, 0.0, 100.0).of_a_screw
    assert not Gap(0.3, 0.34, 0.34, 0.6, 0.0, 100.0).of_a_screw
    assert not Gap(0.9, 1.2, 1.2, 0.6, 0.0, 100.0).of_a_screw


def test_no_bare_simulated_top_is_called_covered_for_a_gap():
    bare = [f for f in films() if f.truth["seated"] == "nothing"]
    assert len(bare) >= 5
    assert not any(f.form("top_form")[1] == "covered" for f in bare)
