"""Indexes inside a bore."""

import math

import numpy as np
import pytest

from sample_images.index_shape import Index, draw_index, fit_opening, shown_per_flats
from sample_images.solids import union
from tests.sample_images.sections import area_mm2, inside

AREA_SHARE = 3e-3  # of a section counted on a lattice of 700 x 700 points


def test_twelve_points_are_two_hexagons():
    flats = 2.4
    solid = union(*Index("twelve points", 1.0, 5.0, flats).fields(0.0))
    tip, notch = flats / 2 / math.cos(math.pi / 6), flats / 2 / math.cos(math.pi / 12)
    star = 12 * tip * notch * math.sin(math.pi / 12)  # 24 triangles between tips and notches
    assert area_mm2(solid, 0.5, 2.0) == pytest.approx(star, rel=AREA_SHARE)


@pytest.mark.parametrize("kind", ["hexagon", "octagon", "twelve points"])
@pytest.mark.parametrize("turn", [0.0, 11.0, 30.0])
def test_the_width_a_turned_prism_shows_is_that_of_its_farthest_corners(kind, turn):
    index = Index(kind, 1.0, turn, 2.0)
    x = np.linspace(-1.3, 1.3, 521)
    grid = np.meshgrid(x, x)
    across = inside(union(*index.fields(0.0)), *grid, np.full(grid[0].shape, 0.5)) > 0
    shown = np.ptp(x[across.any(axis=0)])
    assert shown_per_flats(kind, turn) * 2.0 == pytest.approx(shown, abs=0.02)


@pytest.mark.parametrize("kind", ["three lobes", "cam grooves", "hexagon", "none"])
def test_an_opening_comes_out_as_wide_as_asked_in_any_rotation(kind):
    sizes = {"mouth_width_mm": 2.4, "lobe_reach_mm": 1.5, "lobe_width_mm": 1.0}
    sizes |= {"index_flats_mm": 2.5, "index_depth_mm": 1.5, "opening_width_mm": 3.1}
    for turn in (0.0, 23.0, 77.0):
        out = fit_opening(kind, sizes, turn)
        left, right = draw_index(kind, out, turn).sides_mm()
        half = out["mouth_width_mm"] / 2
        assert max(half, right) - min(-half, left) == pytest.approx(3.1)
