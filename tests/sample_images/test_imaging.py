"""Receptor and software: noise, blur, scatter, tone, halo, bits."""

from dataclasses import replace

import numpy as np
import pytest

from sample_images.camera import Camera, draw_camera
from sample_images.imaging import LEVELS, Received, add_noise, expose, noiseless
from sample_images.tone import quantise, render_tone, sharpen, to_pixels

PLAIN = Camera(photons=1000.0)


def even(level, variance=None, shape=(300, 300)):
    return Received(np.full(shape, level), np.full(shape, variance or level))


def noise_of(received, camera, seed=1):
    return add_noise(received, camera, np.random.default_rng(seed)) - received.signal


def test_quantum_noise_is_the_root_of_the_count():
    for level in (0.05, 0.8):
        expected = np.sqrt(level / PLAIN.photons)
        assert noise_of(even(level), PLAIN).std() == pytest.approx(expected, rel=0.02)


def test_quantum_noise_follows_the_variance_of_energies_not_the_signal():
    noise = noise_of(even(0.05, variance=0.09), PLAIN)
    assert noise.std() == pytest.approx(np.sqrt(0.09 / PLAIN.photons), rel=0.02)


def test_electronic_noise_is_the_same_in_the_dark_and_in_the_light():
    camera = replace(PLAIN, photons=1e9, electronic=1e7)
    stds = [noise_of(even(level), camera).std() for level in (0.01, 0.9)]
    np.testing.assert_allclose(stds, 0.01, rtol=0.02)


def test_light_spread_gives_the_noise_a_grain_but_no_other_sum():
    grained, white = (noise_of(even(0.5), replace(PLAIN, blur_px=b)) for b in (1.5, 0.0))
    assert grained.std() < 0.6 * white.std()
    neighbours = np.corrcoef(grained[:, 1:].ravel(), grained[:, :-1].ravel())[0, 1]
    assert neighbours > 0.5
    wide = [noise.reshape(20, 15, 20, 15).mean(axis=(1, 3)).std() for noise in (grained, white)]
    assert wide[0] == pytest.approx(wide[1], rel=0.15)


def test_blur_spreads_a_step_by_its_own_width():
    step = np.where(np.arange(80) < 40, 1.0, 0.2)[None].repeat(40, axis=0)
    seen = noiseless(Received(step, step), replace(PLAIN, blur_px=2.0)).signal[20]
    slope = -np.diff(seen) / 0.8
    middle = slope @ np.arange(79)
    # two pixels' difference adds a twelfth of a pixel to the square of the spread
    assert slope @ (np.arange(79) - middle) ** 2 == pytest.approx(4.0, rel=0.05)


def test_scatter_veils_a_shadow_and_keeps_even_ground():
    camera = replace(PLAIN, scatter=0.1)
    assert noiseless(even(0.4), camera).signal == pytest.approx(0.4)
    shadow = even(0.8).signal.copy()
    shadow[140:160, 140:160] = 0.0
    veiled = noiseless(Received(shadow, shadow), camera)
    assert 0.07 < veiled.signal[150, 150] < 0.08
    assert veiled.variance[150, 150] == pytest.approx(veiled.signal[150, 150])


def test_sharpening_leaves_a_halo_and_a_clean_film_has_none():
    step = np.where(np.arange(60) < 30, 0.3, 0.8)[None].repeat(20, axis=0)
    halo = sharpen(step, 1.0, 1.5)[10]
    assert halo[29] < 0.3 - 0.05
    assert halo[30] > 0.8 + 0.05
    assert halo[[5, 55]] == pytest.approx([0.3, 0.8])
    for seed in range(20):
        assert draw_camera("clean", np.random.default_rng(seed)).sharpening == 0


def test_most_everyday_films_are_sharpened_or_not_about_evenly():
    drawn = [draw_camera("clinical", np.random.default_rng(seed)) for seed in range(300)]
    assert 0.4 < np.mean([camera.sharpening > 0 for camera in drawn]) < 0.6


@pytest.mark.parametrize(("bits", "levels"), [(8, 256), (12, 4096)])
def test_bits_set_the_number_of_grey_levels(bits, levels):
    ramp = quantise(np.linspace(0, 1, 100_000), bits)
    assert len(np.unique(ramp)) == levels
    assert to_pixels(ramp).max() == 65535


@pytest.mark.parametrize("tone", ["linear", "log", "gamma"])
def test_every_tone_keeps_the_order_of_signals(tone):
    signal = np.linspace(0.02, 1, 200).reshape(20, 10)
    grey = render_tone(signal, replace(PLAIN, tone=tone, gamma=0.7 if tone != "linear" else 1.0))
    assert (np.diff(grey.ravel()) <= 0).all()
    assert (grey.min(), grey.max()) == (0, 1)


def test_the_brightest_share_is_clipped_white():
    signal = np.linspace(0.02, 1, 10_000).reshape(100, 100)
    grey = render_tone(signal, replace(PLAIN, white=0.05))
    assert (grey == 1).mean() == pytest.approx(0.05, abs=0.002)


def test_jpeg_leaves_its_eight_bit_marks():
    picture = np.random.default_rng(0).random((64, 64))
    squeezed = render_tone(picture, replace(PLAIN, jpeg=60))
    assert np.allclose(squeezed * 255, np.round(squeezed * 255))
    assert 0.01 < np.abs(squeezed - render_tone(picture, PLAIN)).std() < 0.3


@pytest.mark.parametrize("level", LEVELS)
def test_a_level_draws_the_same_camera_and_film_for_the_same_seed(level):
    one, two = (draw_camera(level, np.random.default_rng(4)) for _ in range(2))
    assert one == two
    films = [expose(even(0.5, shape=(40, 40)), one, np.random.default_rng(2)) for _ in range(2)]
    np.testing.assert_array_equal(*films)


def test_noise_grows_from_level_to_level():
    photons = [draw_camera(level, np.random.default_rng(1)).photons for level in LEVELS]
    assert photons == sorted(photons, reverse=True)
