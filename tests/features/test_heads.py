"""The post or ball of a one-piece body against parts that are seated."""

import numpy as np
import pytest

from features.heads import head_form
from features.silhouette import Silhouette
from tests.features.simulated_films import make

STEP = 0.01  # rim widths from row to row


def seen(heights, widths, grey=1.0):
    up = np.arange(0.0, heights[-1], STEP)
    wide = np.interp(up, heights, widths)
    on_axis = np.broadcast_to(grey, up.shape).astype(float)
    return Silhouette(wide, np.ones(up.shape), on_axis, on_axis, STEP)


def ball(radius=0.35, neck=0.44, foot=0.6):
    """A ball whose lowest part a neck takes the place of."""
    up = np.arange(0.0, foot + 2 * radius, STEP)
    round_part = 2 * np.sqrt(np.clip(radius**2 - (up - foot - radius) ** 2, 0, None))
    wide = np.where(up < foot, neck + 0.2 * (1 - up / foot), np.maximum(round_part, 0.05))
    low = (up >= foot) & (up < foot + radius)
    wide = np.where(low, np.maximum(wide, neck), wide)
    return Silhouette(wide, np.ones(up.shape), np.ones(up.shape), np.ones(up.shape), STEP)


SHAFT = ((0, 1.2, 1.3), (0.8, 0.66, 0.3))


def test_a_ball_swells_above_its_neck_and_closes():
    assert head_form(ball()).state == "ball"


def test_a_post_narrows_straight_and_closes_or_runs_off_the_film():
    assert head_form(seen(*SHAFT)).state == "post"
    assert head_form(seen((0, 1.2), (0.8, 0.66))).state == "post"


@pytest.mark.parametrize(
    ("part", "heights", "widths"),
    [
        ("healing part", (0, 0.3, 1.2, 1.3), (0.85, 1.03, 1.03, 0.4)),
        ("straight part", (0, 1.2), (0.95, 0.95)),
        ("abutment with a margin", (0, 0.4, 0.5, 1.5), (0.9, 1.0, 0.7, 0.6)),
        ("crown", (0, 0.3, 1.0), (0.9, 0.95, 1.6)),
        ("crown seen to its top", (0, 0.4, 0.8, 1.5, 1.7), (0.9, 0.74, 1.1, 1.3, 0.6)),
        ("cover screw", (0, 0.2, 0.25), (1.0, 1.0, 0.4)),
    ],
)
def test_what_is_seated_is_no_head(part, heights, widths):
    assert head_form(seen(heights, widths)) is None


def test_a_shaft_with_an_access_to_a_screw_or_of_denser_metal_is_no_post():
    up = np.arange(0.0, SHAFT[0][-1], STEP)
    assert head_form(seen(*SHAFT, grey=np.where(up > 0.6, 0.8, 1.0))) is None
    assert head_form(seen(*SHAFT, grey=1.15)) is None


@pytest.mark.parametrize("kind", ["bare abutment", "healing part", "metal crown"])
def test_parts_on_an_everyday_film_stay_parts(kind):
    one = make("external_hex_parallel", "clinical", 15, seated=kind, rows=700)
    assert one.form("top_form") == ("covered", "covered")
