"""Fitted turns held to what the outline shows, on walls drawn as formulas."""

import numpy as np
import pytest

from features.turn_check import Fitted, farthest_px, held_to_outline
from tests.features.drawn_edges import PITCH, Z, outline, wave

THREAD = PITCH, 8.0


@pytest.mark.parametrize("z_px", [140.0, 150.0, 157.0])
@pytest.mark.parametrize("slope", [0.0, -0.08])
def test_crests_and_roots_are_seen_whatever_the_phase_and_the_taper(z_px, slope):
    edges = wave(4.0) + slope * (Z - 150)
    level = 60 + slope * (z_px - 150)
    for roots, there in ((False, level + 4), (True, level - 4)):
        seen = farthest_px(outline(edges, edges), 1.0, z_px, PITCH, roots=roots)
        assert seen == pytest.approx(there, abs=0.3)


def test_a_turn_that_is_seen_where_it_was_fitted_stays_and_is_in_no_doubt():
    walls = outline(wave(4.0), wave(4.0))
    for fitted, roots in ((64.8, False), (57.0, True)):
        held, doubt = held_to_outline(walls, 1.0, Fitted(150.0, fitted, *THREAD, roots))
        assert held == pytest.approx(fitted, abs=0.15)
        assert doubt == 0.0


@pytest.mark.parametrize(("fitted_px", "roots"), [(72.0, False), (46.0, True), (51.0, False)])
def test_a_turn_far_from_what_is_seen_moves_a_little_toward_it_and_is_doubted(fitted_px, roots):
    walls = outline(wave(4.0), wave(4.0))
    seen = 56.0 if roots else 64.0
    held, doubt = held_to_outline(walls, 1.0, Fitted(150.0, fitted_px, *THREAD, roots))
    assert 0.5 < abs(held - fitted_px) < 2.0
    assert abs(held - seen) < abs(fitted_px - seen)
    assert doubt > 0.3


def test_a_root_nearer_to_the_axis_than_the_wall_is_seen_is_doubted_more_than_one_farther():
    walls = outline(wave(4.0), wave(4.0))
    near, far = (
        held_to_outline(walls, 1.0, Fitted(150.0, 57.0 + off, *THREAD, True))[1] for off in (-9, 9)
    )
    assert near > 2 * far


@pytest.mark.parametrize("steep", [(PITCH, 0.9 * PITCH), (18.0, 8.0)])
def test_in_a_groove_so_narrow_that_blur_hides_its_end_the_fit_stays_but_is_doubted(steep):
    walls = outline(wave(4.0), wave(4.0))
    held, doubt = held_to_outline(walls, 1.0, Fitted(150.0, 46.0, *steep, True))
    assert held == 46.0
    assert doubt > 1.0


def test_a_height_off_the_film_leaves_the_turn_as_fitted():
    walls = outline(wave(4.0), wave(4.0))
    assert farthest_px(walls, -1.0, 900.0, PITCH, roots=False) is None
    assert held_to_outline(walls, -1.0, Fitted(900.0, 64.0, *THREAD, False)) == (64.0, 0.0)
    assert np.isfinite(held_to_outline(walls, -1.0, Fitted(0.0, 64.0, *THREAD, False))[0])
