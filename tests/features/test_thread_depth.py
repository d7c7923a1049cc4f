"""Thread depth, whatever the tilt of the beam."""

from dataclasses import replace

import numpy as np
import pytest

from features.body import find_body
from features.thread_depth import thread_depth
from tests.features.bodies_on_film import MM_PER_PX, mark, threaded


def walls(film):
    pixels, truth = film
    return find_body(pixels.astype(np.float32), mark(truth))[0].walls


@pytest.mark.parametrize("tilt_deg", [-8.0, 0.0, 8.0])
def test_a_tilted_beam_does_not_make_the_thread_shallow(tilt_deg):
    depth = thread_depth(walls(threaded(tilt_deg=tilt_deg)))
    assert depth.value * MM_PER_PX == pytest.approx(0.35, abs=0.035)
    assert depth.interval[0] * MM_PER_PX < 0.35 < depth.interval[1] * MM_PER_PX


def test_walls_that_differ_are_less_sure():
    square, tilted = (thread_depth(walls(threaded(tilt_deg=t))) for t in (0.0, 8.0))
    assert dict(tilted.parts)["uneven_wall"] > dict(square.parts)["uneven_wall"]


def test_a_profile_that_was_not_fitted_has_no_depth():
    both = walls(threaded())
    bare = replace(both, left=replace(both.left, parts=()), right=replace(both.right, parts=()))
    assert "could not be fitted" in thread_depth(bare).reason
