"""Missing metal inside a drawn body."""

import numpy as np
import pytest

from features.gaps import FAINT, dark_spots, find_gaps
from tests.features import drawn_bodies
from tests.features.bodies_on_film import followed
from tests.features.drawn_bodies import MM_PER_PX, ellipse, film, knots, rod


def mapped(picture):
    strip, outline, _ = followed(picture)
    return strip, outline, find_gaps(strip, outline, tip_px=10.0 / MM_PER_PX)


def test_a_solid_body_has_no_gap():
    _, _, gaps = mapped(film(rod()))
    assert gaps.gaps == ()
    assert np.percentile(gaps.dip, 99.5) < 0.05


@pytest.mark.parametrize("noise", [0.01, 0.02])
def test_noise_makes_no_gap(noise):
    assert mapped(film(rod(), noise=noise))[2].gaps == ()


@pytest.mark.parametrize("at_mm", [3.0, 5.0, 7.5])
def test_a_hole_is_found_where_it_is_with_about_its_size(at_mm):
    _, _, gaps = mapped(film(rod(), holes=[ellipse(1.0, 1.6, at_mm)]))
    (gap,) = gaps.gaps
    assert gap.z_px * MM_PER_PX == pytest.approx(at_mm, abs=0.05)
    assert gap.t_px * MM_PER_PX == pytest.approx(0.0, abs=0.05)
    # the outline is taken low on the dip's flank, so blur adds up to two sigma a side
    assert 1.0 < gap.width_px * MM_PER_PX < 1.0 + 4 * 1.8 * MM_PER_PX
    assert 1.6 < gap.height_px * MM_PER_PX < 1.6 + 4 * 1.8 * MM_PER_PX
    assert gap.contrast_to_noise > 20
    assert 0.7 < gap.fill < 0.9  # π/4 for an ellipse


def test_contrast_is_the_missing_part_of_the_metal():
    half_gone = film(rod(), notch=lambda t, z: 0.5 * ((abs(t) < 0.5) & (z > 4) & (z < 6)))
    (gap,) = mapped(half_gone)[2].gaps
    # Beer-Lambert: half the path of 4 mm leaves exp(-1.1) of 0.4 instead of exp(-2.2)
    whole, half = 0.4 * np.exp(-2.2), 0.4 * np.exp(-1.1)
    # the mean over the whole gap holds its blurred flanks too, so it is lower than the middle
    assert (
        0.6 * (half - whole) / (0.4 - whole) < gap.contrast < 1.1 * (half - whole) / (0.4 - whole)
    )


def test_the_contrast_of_the_body_is_that_of_its_own_film():
    strip, outline, _ = followed(film(rod()))
    found = find_gaps(strip, outline, tip_px=strip.axis.length_px)
    assert found.beside == pytest.approx(0.6, abs=0.005)
    # 75th percentile within 0.6 R: chords from 3.2 to 4 mm
    assert found.contrast == pytest.approx(0.4 * (1 - np.exp(-2.15)), abs=0.01)


def test_a_body_too_faint_to_look_into_shows_nothing_and_says_so():
    pixels, truth = film(rod(), holes=[ellipse(1.0, 1.6, 7.0)])
    _, _, gaps = mapped((0.6 + 0.05 * (pixels - 0.6), truth))
    assert gaps.contrast < FAINT
    assert gaps.gaps == ()


def test_dark_spots_are_the_small_holes_below_a_height():
    places = [(x, z) for z in (5.5, 6.8, 8.1) for x in (-0.7, 0.7)]
    holes = [lambda t, z, x=x, at=at: ellipse(0.7, 0.7, at)(t - x, z) for x, at in places]
    tube = film(rod(), channel=knots((4.0, 1.5), (10.1, 1.5)), holes=holes)
    strip, outline, gaps = mapped(tube)
    width = float(np.median(outline.width_px))
    z, t = dark_spots(strip, gaps, width_px=width, from_px=5.0 / MM_PER_PX)
    assert z * MM_PER_PX == pytest.approx([5.5, 5.5, 6.8, 6.8, 8.1, 8.1], abs=0.1)
    assert np.abs(t) * MM_PER_PX == pytest.approx(np.full(6, 0.7), abs=0.1)
    below, _ = dark_spots(strip, gaps, width_px=width, from_px=7.4 / MM_PER_PX)
    assert len(below) == 2


def test_a_wide_open_tube_is_a_gap_to_its_end():
    tube = film(drawn_bodies.rod(), channel=knots((4.0, 1.5), (10.1, 1.5)))
    gaps = mapped(tube)[2].gaps
    widest = max(gaps, key=lambda gap: gap.width_px)
    assert widest.from_px * MM_PER_PX == pytest.approx(4.0, abs=0.15)
    assert widest.to_px * MM_PER_PX > 9.8
