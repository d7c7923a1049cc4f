"""Whether dimensions drawn apart fit each other."""

import numpy as np
import pytest

from sample_images.fixture import make_fixture
from sample_images.plausible import fits, fitted_rim, height_of, hopeless
from sample_images.vocabulary import ALL_FORMS

FORMS = {key: options[0] for key, options in ALL_FORMS.items()} | {"screw": "M1.6", "apex": "flat"}
SIZES = {
    "length_mm": 12.0,
    "coronal_width_mm": 4.4,
    "platform_width_mm": 4.4,
    "taper_deg": 0.0,
    "apex_round_mm": 0.8,
    "collar_height_mm": 1.0,
    "bore_depth_mm": 5.0,
    "thread_pitch_mm": 0.8,
    "thread_depth_mm": 0.35,
}
FLAT = {"platform_width_mm": {"low": 4.0, "high": 5.0, "edge": 0.2}}


def made(forms, **sizes):
    return make_fixture(SIZES | sizes, FORMS | forms, np.random.default_rng(1))


def test_a_usual_screw_fits():
    assert fits(made({"thread": "v"}))


@pytest.mark.parametrize(
    ("forms", "sizes"),
    [
        ({"thread": "v"}, {"coronal_width_mm": 2.2, "platform_width_mm": 2.2}),  # no wall left
        ({"thread": "v"}, {"collar_height_mm": 10.5}),  # no room for two turns
        ({"thread": "v", "bore": "no"}, {"thread_depth_mm": 1.9}),  # no core
        ({"collar": "tulip"}, {"collar_height_mm": 5.0, "platform_width_mm": 7.0}),  # too deep
        ({}, {"taper_deg": 13.0}),  # ends in a needle
        ({"vents": "one"}, {"vent_width_mm": 7.0, "vent_from_apex_mm": 4.0}),  # cut in two
        ({"steps": "yes"}, {"step_count": 3}),  # steps of no height
    ],
)
def test_what_cannot_be_does_not_fit(forms, sizes):
    assert not fits(made(forms, **sizes))


def test_a_density_is_one_on_its_top_and_gaussian_beyond():
    entry = FLAT["platform_width_mm"]
    assert height_of(entry, 4.5) == 1.0
    assert height_of(entry, 5.2) == pytest.approx(np.exp(-0.5))
    assert height_of({"low": 4.0, "high": 5.0}, 5.01) == 0.0


def test_a_rim_is_made_flush_or_kept_only_where_it_agrees():
    rng = np.random.default_rng(1)
    wide, even = SIZES | {"platform_width_mm": 5.0}, dict(SIZES)
    flush = fitted_rim(wide, FORMS | {"rim": "flush"}, FLAT, rng)
    assert flush["platform_width_mm"] == 4.4
    assert fitted_rim(wide, FORMS | {"rim": "flared"}, FLAT, rng) == wide
    assert fitted_rim(even, FORMS | {"rim": "flared"}, FLAT, rng) is None
    assert fitted_rim(wide, FORMS | {"rim": "back-tapered"}, FLAT, rng) is None
    nail = wide | {"platform_width_mm": 6.4, "collar_height_mm": 0.2}
    assert fitted_rim(nail, FORMS | {"rim": "flared"}, FLAT, rng) is None


def test_an_opening_narrower_than_the_screw_or_wider_than_the_platform_is_hopeless():
    sizes = SIZES | {"bore_width_mm": 2.0}
    assert not hopeless(sizes | {"opening_width_mm": 2.6}, FORMS)
    assert hopeless(sizes | {"opening_width_mm": 1.8}, FORMS)
    assert hopeless(sizes | {"opening_width_mm": 4.2}, FORMS)
