"""The bench's bare bodies."""

import numpy as np
import pytest

from sample_images.bench import TONES, bare_film, plain_cylinder
from sample_images.materials import mu_per_mm


def test_a_bare_cylinder_follows_beer_and_lambert_across_the_chord():
    pixels, truth = bare_film(plain_cylinder(2.0, 3.0), mm_per_px=0.02, background=0.5)
    middle = truth["apex"][0]
    row = pixels[pixels.shape[0] // 2]
    off = (np.arange(len(row)) - middle) * 0.02
    chord = 2 * np.sqrt(np.clip(4 - off**2, 0, None))
    expected = 1 - 0.5 * np.exp(-mu_per_mm("titanium", 45.0) * chord)
    inner = np.abs(off) < 1.9
    np.testing.assert_allclose(row[inner], expected[inner], atol=1e-3)
    assert row[0] == pytest.approx(0.5)


def test_tone_changes_grey_but_not_what_lies_behind_it():
    films = {tone: bare_film(plain_cylinder(1.5, 2.0), tone=tone, gamma=0.7) for tone in TONES}
    signals = [film[1]["transmission"] for film in films.values()]
    np.testing.assert_array_equal(signals[0], signals[1])
    linear, log, gamma = (films[tone][0] for tone in ("linear", "log", "gamma"))
    assert not np.allclose(linear, log)
    np.testing.assert_allclose(gamma, linear**0.7)
    order = np.argsort(linear, axis=None)
    assert (np.diff(log.ravel()[order]) >= -1e-12).all()


def test_noise_falls_with_the_root_of_the_photons():
    spreads = []
    for photons in (400, 1600):
        pixels, _ = bare_film(plain_cylinder(1.5, 3.0), photons=photons, background=0.5)
        spreads.append(pixels[:20].std())
    assert spreads[0] / spreads[1] == pytest.approx(2.0, rel=0.06)


def test_the_same_seed_gives_the_same_noise():
    one, two, other = (
        bare_film(plain_cylinder(1.0, 2.0), photons=500, seed=seed)[0] for seed in (3, 3, 4)
    )
    np.testing.assert_array_equal(one, two)
    assert (one != other).any()


def test_an_unknown_tone_is_refused():
    with pytest.raises(ValueError, match="'tone' must be one of linear, log, gamma"):
        bare_film(plain_cylinder(1.0, 2.0), tone="sepia")
