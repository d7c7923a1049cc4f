"""Walls given as numbers: which one's roots are hidden."""

import numpy as np
import pytest

from features.hidden_roots import turns_behind, with_hidden_roots
from features.quantity import Measured, NotMeasured
from features.thread_cell import Cell
from features.threaded_wall import Part, Wall, Window


def wall(side, depth_px, std_px=0.5, misfit=0.004):
    cell = Cell(Measured(depth_px, std_px, "px"), Measured(0.0, std_px, "px"), 1.5, misfit)
    return Wall(side, None, (Part(0.0, 100.0, Window(0.0, 20.0), cell),))


def hidden(left_px, right_px, std_px=0.5):
    walls = with_hidden_roots(wall(-1.0, left_px, std_px), wall(1.0, right_px, std_px))
    return [seen.hidden and seen.hidden.value for seen in walls]


def test_the_shallower_wall_holds_the_other_ones_depth():
    assert hidden(6.0, 12.0) == [12.0, None]
    assert hidden(12.0, 6.0) == [None, 12.0]


def test_walls_much_alike_or_unsure_are_left_as_they_are():
    assert hidden(11.0, 12.0) == [None, None]
    assert hidden(6.0, 12.0, std_px=5.0) == [None, None]


def test_a_turn_that_was_fitted_badly_lends_its_depth_to_no_wall():
    walls = with_hidden_roots(wall(-1.0, 6.0), wall(1.0, 12.0, misfit=0.02))
    assert [seen.hidden for seen in walls] == [None, None]


def test_a_wall_that_was_not_fitted_says_nothing_of_the_other():
    bare = Cell(NotMeasured("too faint"), NotMeasured("too faint"), 1.5)
    empty = Wall(-1.0, None, (Part(0.0, 100.0, Window(0.0, 20.0), bare),))
    assert with_hidden_roots(empty, wall(1.0, 12.0))[1].hidden is None


@pytest.mark.parametrize("tilt_deg", [0.0, 3.0, -9.0])
def test_how_many_turns_a_ray_climbs_by_on_its_way_along_the_roots(tilt_deg):
    # walked step by step through the ring between roots and crests, 0.5 mm deep on 3.4 mm
    radius, depth, pitch = 1.7, 0.5, 0.22
    y = np.linspace(-radius, radius, 200_001)
    inside = np.hypot(y, radius - depth) < radius
    climbed = inside.sum() * (y[1] - y[0]) * np.tan(np.radians(abs(tilt_deg)))
    found = turns_behind(depth, pitch_px=pitch, radius_px=radius, tilt_deg=tilt_deg)
    assert found == pytest.approx(climbed / pitch, rel=0.1)  # 2Rd stands for 2Rd - d²
