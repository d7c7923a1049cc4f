"""Metal whiter than the film can show."""

import numpy as np
import pytest

from features.burnt_out import burnt_share, hidden_share
from tests.features.channel_strips import ABOVE_PX, bored_body, strip_of


def test_the_share_counts_only_what_lies_between_the_heights_near_the_axis():
    pixels = np.full((ABOVE_PX + 100, 181), 0.8)
    pixels[ABOVE_PX + 50 :] = 1.0
    pixels[:, :60] = 1.0  # beside the body
    strip = strip_of(pixels)
    assert burnt_share(strip, 0.0, 40.0, 20.0) == 0.0
    assert burnt_share(strip, 55.0, 90.0, 20.0) == 1.0
    assert burnt_share(strip, 30.0, 70.0, 20.0) == pytest.approx(0.5, abs=0.03)


def test_where_nothing_is_seen_nothing_is_burnt_out():
    assert burnt_share(strip_of(np.ones((ABOVE_PX + 20, 181))), 500.0, 600.0, 20.0) == 0.0


def seen_walls(pixels):
    """Where the middle row comes down to white."""
    strip = strip_of(pixels)
    dark = strip.t_px[(strip.pixels[len(pixels) // 2] < 1) & (np.abs(strip.t_px) < 30)]
    return strip, (dark[0], dark[-1])


@pytest.mark.parametrize("gain", [1.42, 1.46])
def test_a_gap_looks_narrower_beside_metal_whiter_than_the_film_shows(gain):
    white = np.clip(gain * bored_body(np.full(ABOVE_PX + 100, 25.0)).pixels, 0, 1)
    strip, walls = seen_walls(white)
    hidden = hidden_share(strip, (20.0, 80.0), walls, 130.0)
    assert walls[1] - walls[0] < 48
    # walls fall between columns: one at either side
    assert (walls[1] - walls[0]) / (1 - hidden) == pytest.approx(50.0, abs=2.0)


@pytest.mark.parametrize("burnt", [0.0, 0.3])
def test_beside_metal_whose_grain_alone_is_white_nothing_is_hidden(burnt):
    random = np.random.default_rng(3)
    pixels = np.where(random.random((ABOVE_PX + 100, 181)) < burnt, 1.0, 0.8)
    assert hidden_share(strip_of(pixels), (20.0, 80.0), (-25.0, 25.0), 130.0) == 0.0
