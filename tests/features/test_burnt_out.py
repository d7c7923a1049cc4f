"""Metal whiter than the film can show."""

import numpy as np
import pytest

from features.burnt_out import burnt_share
from tests.features.channel_strips import ABOVE_PX, strip_of


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
