"""What of a seated part lies inside the bore."""

import numpy as np
import pytest

from sample_images.fixture import draw_fixture
from sample_images.inner_part import InnerPart, draw_inner_part
from sample_images.recipe import load_recipe
from tests.sample_images.sections import inside

INSIDE = ("bone_level_cone", "internal_hex_tapered", "internal_tube_index", "tri_channel")
OUTSIDE = ("external_hex_parallel", "external_hex_tapered", "external_spline")


def bore(family, seed=5):
    return draw_fixture(load_recipe(family), np.random.default_rng(seed)).bore


def drawn(hole, *, low=False, seed=1):
    end = 0.8 * hole.depth_mm
    return draw_inner_part(hole, end, np.random.default_rng(seed), low=low)


@pytest.mark.parametrize("family", INSIDE)
def test_a_foot_stops_short_of_the_floor_and_leaves_a_gap_round_the_shank(family):
    hole = bore(family)
    part = drawn(hole)
    assert 0.1 <= hole.floor_mm - part.foot_mm <= 0.4
    z = (part.foot_mm + hole.floor_mm) / 2
    field = part.field(hole)
    assert inside(field, 0.5 * part.shank_mm, 0.0, z) > 0
    beside = np.array([part.shank_mm + 0.05, hole.reach_mm(z) - 0.05])
    assert (inside(field, beside, 0.0 * beside, z + 0.0 * beside) < 0).all()


@pytest.mark.parametrize("family", OUTSIDE)
def test_a_part_on_an_index_outside_has_no_foot(family):
    assert drawn(bore(family)).foot_mm == 0.0


@pytest.mark.parametrize("family", [*INSIDE, *OUTSIDE])
def test_a_screw_finds_its_thread_and_ends_above_the_channels_end(family):
    for seed in range(8):
        hole = bore(family, seed)
        part = drawn(hole, seed=seed, low=bool(seed % 2))
        assert part.turns_mm >= hole.floor_mm
        assert part.end_mm - part.turns_mm > hole.thread.pitch_mm
        assert part.end_mm <= hole.depth_mm


def test_a_low_part_stays_out_of_the_index_but_sits_in_a_cone():
    assert drawn(bore("internal_hex_tapered"), low=True).foot_mm == 0.0
    cone = bore("bone_level_cone")
    assert 0.5 < drawn(cone, low=True).foot_mm < cone.floor_mm


@pytest.mark.parametrize(("width_mm", "pitch_mm", "d3_mm"), [(2.0, 0.4, 1.509), (1.6, 0.35, 1.171)])
def test_the_shank_is_as_thick_as_the_root_of_its_thread(width_mm, pitch_mm, d3_mm):
    # minor diameter d3 of M2 and M1.6 coarse, as tabled with ISO 68-1 basic profiles; from memory
    hole = bore("external_hex_parallel")
    thread = type(hole.thread)(pitch_mm, 1, 0.125, 0.25, hole.thread.depth)
    made = type(hole)(hole.wall, thread, width_mm, hole.depth_mm, hole.cone_deg, hole.index)
    assert 2 * drawn(made).shank_mm == pytest.approx(d3_mm, abs=0.001)


def test_a_post_without_a_screw_fills_its_well():
    hole = bore("plateau_locking_taper")
    part = drawn(hole)
    assert part == InnerPart(part.end_mm, part.end_mm, part.end_mm, 0.0)
    assert inside(part.field(hole), 0.9 * float(hole.wall(1.0)), 0.0, 1.0) > 0
