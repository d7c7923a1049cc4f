"""Where a turn is looked at, and how a deep thread comes out of it."""

import pytest

from features.quantity import Measured, NotMeasured
from features.thread_cell import Cell
from features.threaded_wall import Window, misfit_by_shear
from features.threads import Thread as Comb
from sample_images.bench import bare_film
from sample_images.solids import Profile, Thread
from tests.features.bodies_on_film import MM_PER_PX, followed, read, smooth, threaded


def cell(crest_px, root_px):
    return Cell(Measured(crest_px, 0.2, "px"), Measured(root_px, 0.2, "px"), 1.5)


def test_a_window_stays_where_crest_and_root_lie_well_in_it():
    window = Window(0.0, 20.0)
    assert window.around(cell(8.0, -9.0)) is window


def test_a_window_moves_to_the_middle_of_a_turn_that_stands_near_its_end():
    moved = Window(0.0, 20.0).around(cell(24.0, -2.0))
    assert moved.middle_px == pytest.approx(11.0)
    assert moved.reach_px > 13.0 / 0.7
    assert moved.around(cell(24.0, -2.0)) is moved
    assert moved.holds(cell(24.0, -2.0))
    assert not Window(0.0, 20.0).holds(cell(24.0, -2.0))


def test_a_turn_that_was_not_fitted_moves_nothing():
    window = Window(0.0, 20.0)
    bare = Cell(NotMeasured("too faint"), NotMeasured("too faint"), 1.5)
    assert window.around(bare) is window
    assert not window.holds(bare)


@pytest.mark.parametrize("tilt_deg", [0.0, 8.0])
def test_a_thread_nearly_as_deep_as_its_pitch_is_read_to_its_roots(tilt_deg):
    measures = read(threaded(0.8, 0.7, 1, 4.6, tilt_deg=tilt_deg)).measures
    for key, true in (("thread_depth", 0.7), ("core_width", 3.2), ("coronal_width", 4.6)):
        found = measures[key]
        assert found.interval[0] * MM_PER_PX < true < found.interval[1] * MM_PER_PX
        assert found.value * MM_PER_PX == pytest.approx(true, abs=0.07)


def stepped(step_mm, apical_share):
    """A thread on a rod of 10 mm that drops from 4.6 to 4.0 mm."""
    outer = Profile((0.0, step_mm, step_mm + 0.2, 10.0), (2.3, 2.3, 2.0, 2.0))
    cut = Profile((0.0, 0.4, 0.41, 9.0, 9.01, 10.0), (0.0, 0.0, 0.4, 0.4, 0.0, 0.0))
    helix = Thread(0.7, 1, 0.14, 0.26, cut, apical_share=apical_share)
    return bare_film(outer, (helix,), mm_per_px=MM_PER_PX, blur_px=1.2, photons=4000)


@pytest.mark.parametrize("apical_share", [0.12, 0.5, 0.88])
def test_widths_just_above_a_step_under_a_thread_are_those_above_it(apical_share):
    # a line through the turns of both levels reads either 0.1-0.3 mm too small
    coronal = read(stepped(2.6, apical_share)).measures["coronal_width"]
    assert coronal.value * MM_PER_PX == pytest.approx(4.6, abs=0.09)  # by three turns a wall
    below = read(stepped(5.3, apical_share)).measures
    for key, true in (("coronal_width", 4.6), ("core_width", 3.8), ("apical_width", 4.0)):
        assert below[key].value * MM_PER_PX == pytest.approx(true, abs=0.08)


def test_a_smooth_wall_has_no_turn_to_be_left_over():
    strip, outline, _ = followed(smooth())
    assert misfit_by_shear(strip, outline, 1.0, Comb(NotMeasured("none"), 0.01)) is None
