"""A valid film with valid marks is always read: reasons where there is nothing to measure."""

from __future__ import annotations

import json

import numpy as np
import pytest

from features.marks import check_marks
from features.quantity import Measured
from features.radiograph import Radiograph
from features.reading import Reading, read_film


def read(pixels: np.ndarray, *, platform=((40, 30), (80, 31)), apex=(61, 120)) -> Reading:
    height, width = pixels.shape
    marks = {"implants": [{"label": "A", "platform_px": platform, "apex_px": apex}]}
    film = Radiograph(pixels.astype(np.float32), "0" * 64, 8)
    return read_film(film, check_marks(marks, width=width, height=height))


def noise(seed: int, shape=(150, 120)) -> np.ndarray:
    return np.clip(np.random.default_rng(seed).normal(0.4, 0.1, shape), 0, 1)


HOSTILE = {
    "black": np.zeros((150, 120)),
    "white": np.ones((150, 120)),
    "grey": np.full((150, 120), 0.5),
    "noise": noise(1),
    "half white": np.where(np.arange(120)[None, :] < 60, 1.0, 0.0) * np.ones((150, 1)),
    "stripes": (np.arange(150)[:, None] // 4 % 2) * np.ones((1, 120)),
    "ramp": np.linspace(0, 1, 120)[None, :] * np.ones((150, 1)),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_film_without_an_implant_is_read_without_a_fault(name):
    assert json.loads(json.dumps(read(HOSTILE[name]).to_json(), allow_nan=False))


@pytest.mark.parametrize("name", ["black", "white", "grey"])
def test_an_empty_film_yields_reasons_not_widths(name):
    measures = read(HOSTILE[name]).implants[0].measures
    for key in ("coronal_width_px", "platform_width_px", "thread_pitch_px", "bore_width_px"):
        assert not measures[key], key
        assert len(measures[key].reason) > 10


@pytest.mark.parametrize(
    ("platform", "apex"),
    [
        (((0, 0), (6, 0)), (3, 149)),
        (((0, 0), (0, 149)), (119, 70)),
        (((118, 100), (112, 104)), (60, 5)),
        (((57, 70), (63, 70)), (60, 76)),
        (((10, 149), (110, 149)), (60, 80)),
    ],
)
def test_marks_anywhere_on_the_film_are_read_without_a_fault(platform, apex):
    assert read(noise(2), platform=platform, apex=apex).to_json()


@pytest.mark.parametrize("seed", range(6))
def test_noise_is_not_called_a_thread(seed):
    findings = read(noise(seed)).implants[0].findings
    assert findings["threads"].state != "present"


def test_a_tiny_film_is_read_without_a_fault():
    tiny = noise(3, (40, 40))
    assert read(tiny, platform=((12, 5), (26, 5)), apex=(19, 35)).to_json()


def test_every_number_is_finite_and_has_an_uncertainty():
    for value in read(noise(4)).implants[0].measures.values():
        if isinstance(value, Measured):
            assert np.isfinite([value.value, value.std]).all()
            assert value.std > 0


def test_an_implant_of_a_few_pixels_says_so_for_every_measure_that_a_full_reading_has():
    small = read(noise(5), platform=((57, 70), (63, 70)), apex=(60, 76)).implants[0]
    whole = read(noise(5)).implants[0]
    assert set(small.measures) == set(whole.measures)
    assert set(small.forms) == set(whole.forms)
    assert set(small.findings) == set(whole.findings)
    assert all("full size" in value.reason for value in small.measures.values())
