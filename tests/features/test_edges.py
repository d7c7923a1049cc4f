"""The chord edge, held against the chord itself.

An ideal cylinder is worked out here and nowhere else: path 2·√(R² − ρ²), Beer-Lambert, blur, a tone
curve. No code of the renderer or of the measuring side is used to make it.
"""

import numpy as np
import pytest
from scipy import ndimage

from features.edges import fit_chord_edge

TONES = {"linear": 1.0, "log": None, "gamma 0.6": 0.6, "gamma 1.7": 1.7}
MU_PER_MM = 0.55  # titanium at some 45 keV; 0.4 and 0.9 (harder, softer beams) bracket it
GUESS_PX = 0.3  # the first guess lies this far inside the true edge
FINE_PX = 0.02
SIZES = [(radius, step) for radius in (1.5, 2.0, 3.0) for step in (0.02, 0.03)]


def rendered(transmission, tone):
    if tone == "log":
        return np.log(np.clip(transmission, 1e-3, None)) / np.log(1e-3)
    return (1 - transmission) ** TONES[tone]


def cylinder(radius_mm, mm_per_px, tone="linear", *, mu=MU_PER_MM, blur_px=1.5, open_beam=0.4):
    """(depth in px inside the first guess, grey) of an ideal cylinder's rim."""
    inside = np.arange(-24, 24, FINE_PX)  # px inside the true edge
    radius = radius_mm / mm_per_px
    path = 2 * mm_per_px * np.sqrt(np.maximum(radius**2 - (radius - inside) ** 2, 0))
    seen = ndimage.gaussian_filter1d(open_beam * np.exp(-mu * path), blur_px / FINE_PX)
    depth = np.arange(-10.0, 10.5, 1.0)
    return depth, np.interp(depth + GUESS_PX, inside, rendered(seen, tone))


def miss_um(profile, mm_per_px):
    """How far outside the true edge the fit puts it, µm."""
    offset = fit_chord_edge(*profile).offset_px
    assert offset, offset
    return (offset.value - GUESS_PX) * mm_per_px * 1000


def half_level_um(profile, mm_per_px):
    """The same for the place where the grey is half way up its window."""
    depth, grey = profile
    level = (grey[0] + grey[-1]) / 2
    return -(np.interp(level, grey, depth) + GUESS_PX) * mm_per_px * 1000


@pytest.mark.parametrize(("radius_mm", "mm_per_px"), SIZES)
@pytest.mark.parametrize("tone", TONES)
def test_a_wall_is_read_within_15_um_of_the_analytic_radius(radius_mm, mm_per_px, tone):
    # Reached: 10 µm at worst (log, 0.03 mm/px), under 4 µm in every other tone.
    assert abs(miss_um(cylinder(radius_mm, mm_per_px, tone), mm_per_px)) < 15


@pytest.mark.parametrize(("radius_mm", "mm_per_px"), SIZES)
def test_linear_log_and_gamma_films_of_one_cylinder_agree_within_15_um(radius_mm, mm_per_px):
    # Reached: 4-6 µm at 0.02 mm/px, 8-12 µm at 0.03 mm/px.
    misses = [miss_um(cylinder(radius_mm, mm_per_px, tone), mm_per_px) for tone in TONES]
    assert np.ptp(misses) < (10 if mm_per_px == 0.02 else 15)


@pytest.mark.parametrize("mu", [0.4, 0.9])
def test_a_harder_or_softer_beam_moves_a_linear_edge_by_less_than_2_um(mu):
    # The model holds this case exactly but for the chord's own curvature. Reached: 0.3 µm.
    assert abs(miss_um(cylinder(2.0, 0.02, mu=mu), 0.02)) < 2


@pytest.mark.parametrize("tone", TONES)
def test_the_half_level_would_read_every_wall_far_too_narrow(tone):
    profile = cylinder(2.0, 0.02, tone)
    # -20 µm is already twice what the model may be wrong by; the half level is out by 40-70 µm.
    assert half_level_um(profile, 0.02) < -20
    assert abs(miss_um(profile, 0.02)) < 0.25 * abs(half_level_um(profile, 0.02))


@pytest.mark.parametrize("blur_px", [0.8, 1.5, 2.5])
def test_the_blur_is_found_together_with_the_edge(blur_px):
    depth, grey = cylinder(2.0, 0.02, blur_px=blur_px)
    edge = fit_chord_edge(depth, grey)
    assert edge.blur_px == pytest.approx(blur_px, rel=0.1)


def test_the_stated_std_covers_the_noise_it_was_given():
    rng = np.random.default_rng(5)
    depth, grey = cylinder(2.0, 0.02)
    offsets = [
        fit_chord_edge(depth, grey + 0.004 * rng.standard_normal(len(grey))).offset_px
        for _ in range(40)
    ]
    far = [abs(o.value - GUESS_PX) > 1.96 * o.std for o in offsets if o]
    assert len(far) >= 38
    assert sum(far) <= 6  # of 40 at 5 %: seven or more has a chance of 0.3 %


def test_a_burnt_out_profile_is_not_measured_and_says_so():
    depth, grey = cylinder(2.0, 0.02)
    edge = fit_chord_edge(depth, np.clip(grey + 0.5, 0, 1))
    assert not edge.offset_px
    assert "burnt out" in edge.offset_px.reason


def test_a_wall_whose_inside_is_burnt_out_is_read_from_what_is_left():
    depth, grey = cylinder(2.0, 0.02)
    clipped = np.where(depth > 6, 1.0, grey)
    edge = fit_chord_edge(depth, clipped)
    assert edge.offset_px
    assert abs(edge.offset_px.value - GUESS_PX) * 20 < 15  # µm at 0.02 mm/px


@pytest.mark.parametrize("noise", [0.0, 0.003])
def test_a_flat_profile_is_not_measured(noise):
    depth = np.arange(-10.0, 10.5)
    grey = 0.4 + noise * np.random.default_rng(3).standard_normal(len(depth))
    edge = fit_chord_edge(depth, grey)
    assert not edge.offset_px
    assert "edge" in edge.offset_px.reason


def test_an_edge_at_the_far_end_of_the_window_is_not_taken_for_this_one():
    depth, _ = cylinder(2.0, 0.02)
    inside = np.maximum(depth - 8.0, 0)  # metal begins 8 of 10 px farther in
    edge = fit_chord_edge(depth, 0.4 + 0.1 * np.sqrt(inside))
    assert not edge.offset_px
