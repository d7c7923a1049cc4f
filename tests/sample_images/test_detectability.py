"""Contrast over noise of features made for the purpose."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from sample_images.camera import Camera
from sample_images.detectability import DETECTABLE, contrast_to_noise
from sample_images.imaging import Received

CAMERA = Camera(photons=1000.0, blur_px=0.8)
SHAPE = (120, 120)


def received(signal):
    return Received(signal, signal)


def ground(level=0.3):
    """Even ground with a dark and a light corner, which fix the window."""
    signal = np.full(SHAPE, level)
    signal[:8, :8], signal[-8:, -8:] = 0.02, 1.0
    return signal


def with_disc(signal, contrast, radius=10):
    y, x = np.indices(SHAPE) - 60
    return signal + contrast * (np.hypot(x, y) < radius)


def texture(seed):
    rng = np.random.default_rng(seed)
    noise = ndimage.gaussian_filter(rng.standard_normal(SHAPE), 6)
    return ground() + 0.03 * noise / noise.std()


def test_nothing_changed_is_no_contrast():
    assert contrast_to_noise(received(ground()), received(ground()), CAMERA) == 0


def test_contrast_over_noise_is_the_closed_form_for_a_disc_on_even_ground():
    sharp = replace(CAMERA, blur_px=0.0)
    found = contrast_to_noise(received(with_disc(ground(), 0.02)), received(ground()), sharp)
    window, pixels = 1.0 - 0.02, (with_disc(ground(), 1) - ground()).sum()
    noise = 0.3 / 1000 / pixels + (window / 510) ** 2
    assert found == pytest.approx(0.02 / np.sqrt(noise), rel=0.03)


def test_fewer_photons_lower_it_and_more_contrast_raises_it():
    pair = received(with_disc(ground(), 0.02, radius=2)), received(ground())
    good, poor = (contrast_to_noise(*pair, replace(CAMERA, photons=n)) for n in (4000, 40))
    assert good > 2 * poor
    clear = received(with_disc(ground(), 0.08, radius=2))
    assert contrast_to_noise(clear, pair[1], CAMERA) > contrast_to_noise(*pair, CAMERA)


def test_bone_texture_hides_what_even_ground_would_show():
    plain, here, there = ground(), texture(1), texture(2)
    even = contrast_to_noise(received(with_disc(plain, 0.03)), received(plain), CAMERA)
    pair = received(with_disc(here, 0.03)), received(here)
    hidden = contrast_to_noise(*pair, CAMERA, None, received(there))
    assert hidden < DETECTABLE < even


def test_what_the_window_clips_white_is_not_there():
    dark = ground(0.02)
    pair = received(with_disc(dark, 0.03)), received(dark)
    assert contrast_to_noise(*pair, CAMERA) > DETECTABLE
    burnt = replace(CAMERA, white=0.99)
    assert contrast_to_noise(*pair, burnt) == 0


def test_only_the_place_asked_about_counts():
    mask = np.zeros(SHAPE, bool)
    mask[:30] = True
    pair = received(with_disc(ground(), 0.05)), received(ground())
    assert contrast_to_noise(*pair, CAMERA, mask) == 0
    assert contrast_to_noise(*pair, CAMERA, ~mask) > DETECTABLE


def test_a_difference_below_one_step_of_a_screen_does_not_count():
    quiet = replace(CAMERA, photons=0.0)
    faint = received(with_disc(ground(), 0.98 / 300)), received(ground())
    assert contrast_to_noise(*faint, quiet) < DETECTABLE
