"""The two walls, followed row by row, and the axis found from them."""

import math
from dataclasses import replace

import numpy as np
import pytest

from features.marks import ImplantMark
from features.outline import about, find_walls, follow_implant
from features.strip import Axis, straighten
from tests.features.bodies_on_film import MM_PER_PX, cone, followed, half_turned, smooth


def bar(width_px, *, noise=0.0, size=(160, 120), middle=60.3):
    """A bright bar with soft edges down the film; its edges change fastest at ± width / 2."""
    x = np.arange(size[1]) - middle
    wall = 1 / (1 + np.exp((np.abs(x) - width_px / 2) / 1.2))
    grey = np.tile(0.3 + 0.4 * wall, (size[0], 1))
    grey += noise * np.random.default_rng(2).standard_normal(size)
    return grey.astype(np.float32)


def walls_of(pixels, middle=60.3, half=20.0, near=None):
    axis = Axis((middle, 20.0), math.pi / 2, 120.0)
    strip = straighten(pixels, axis, above_px=15, below_px=15, half_px=45)
    return find_walls(strip, half, near=near)


def test_both_walls_lie_where_the_grey_changes_fastest():
    outline = walls_of(bar(40.6))
    # the cubic kernel and the pixel grid move a soft edge by some hundredths of a pixel
    assert outline.left_px == pytest.approx(20.3, abs=0.08)
    assert outline.right_px == pytest.approx(20.3, abs=0.08)
    assert outline.width_px == pytest.approx(40.6, abs=0.12)


@pytest.mark.parametrize("noise", [0.01, 0.03])
def test_noise_is_told_from_the_film_itself(noise):
    # resampling with a cubic kernel keeps between 0.7 and 1 of white noise
    assert 0.65 * noise < walls_of(bar(40.6, noise=noise)).noise < 1.1 * noise


def test_a_wall_does_not_jump_to_a_bright_neighbour_for_a_few_rows():
    pixels = bar(40.6)
    pixels[70:76, 84:100] = 0.9  # a crown's rim beside the body
    outline = walls_of(pixels)
    assert np.abs(outline.width_px - 40.6).max() < 6


@pytest.mark.parametrize("astray_px", [0.0, 3.0, -12.0, 15.0])
def test_a_coarser_look_shortens_the_way_but_never_moves_a_wall(astray_px):
    pixels = bar(40.6, noise=0.02)
    alone = walls_of(pixels)
    coarse = replace(alone, left_px=alone.left_px + astray_px)
    again = walls_of(pixels, near=coarse)
    np.testing.assert_array_equal(again.left_px, alone.left_px)
    np.testing.assert_array_equal(again.right_px, alone.right_px)


def test_a_wall_that_steps_is_followed_near_a_coarser_look():
    pixels = np.vstack([bar(60.6)[:80], bar(30.6)[80:]])
    alone = walls_of(pixels)
    np.testing.assert_allclose(walls_of(pixels, near=alone).left_px, alone.left_px, atol=1e-9)


def test_an_outline_is_the_same_line_on_the_film_about_any_axis():
    axis = Axis((60.3, 20.0), math.pi / 2, 120.0)
    other = axis.moved(z_px=2.0, t_px=-1.5, turn_rad=0.03)
    strip = straighten(bar(40.6), axis, above_px=15, below_px=15, half_px=45)
    moved = about(other, strip, find_walls(strip, 20.0))
    inner = moved.between(5.0, 110.0)  # beyond, the turned axis sees rows the first did not
    for side, wall in ((-1.0, moved.left_px), (1.0, moved.right_px)):
        x, _ = zip(
            *(other.to_film(z, side * t) for z, t in zip(moved.z_px, wall, strict=True)),
            strict=True,
        )
        assert np.array(x)[inner] == pytest.approx(
            60.3 - side * 20.3, abs=0.1
        )  # t runs to the left


@pytest.mark.parametrize("off_deg", [-6, -3, 3, 6])
def test_the_axis_follows_the_walls_not_the_clicks(off_deg):
    pixels, truth = smooth()
    (left, right), apex = truth["platform"], truth["apex"]
    long = math.dist(((left[0] + right[0]) / 2, left[1]), apex)
    marked = (apex[0] + long * math.sin(math.radians(off_deg)), apex[1])
    mark = ImplantMark(label="A", platform_px=(left, right), apex_px=marked)
    strip, _, turned = follow_implant(pixels.astype(np.float32), mark)
    # 0.1° over 300 px is half a pixel at the apex: less than a wall's row-to-row noise
    assert math.degrees(strip.axis.angle_rad) == pytest.approx(90, abs=0.1)
    assert turned == pytest.approx(off_deg, abs=0.5)


@pytest.mark.parametrize("turn_deg", [0, 17, 90])
def test_a_turned_body_has_the_same_width_in_every_row(turn_deg):
    _, outline, _ = followed(smooth(turn_deg=turn_deg))
    body = outline.width_px[outline.between(10, 285)] * MM_PER_PX
    # fastest change lies inside the chord's edge (0.03 mm a wall here), the same at every turn
    assert np.median(body) == pytest.approx(4.0 - 0.053, abs=0.012)
    assert np.ptp(body) < 0.15  # 2.5 px each wall: single noisy rows


def test_turning_the_film_half_round_changes_neither_wall():
    _, upright, _ = followed(cone(4.6, 3.4))
    _, turned, _ = followed(half_turned(cone(4.6, 3.4)))
    rows = slice(10, 280)
    apart = upright.width_px[rows] - turned.width_px[rows]
    assert abs(float(np.median(apart))) < 0.1


def test_a_wall_takes_the_steepest_of_falls_that_are_all_steep_enough():
    out = np.arange(-60, 60)  # from the axis
    fall = np.zeros((160, 120))
    fall[:80, np.abs(out) == 20] = fall[120:, np.abs(out) == 22] = 0.05
    fall[80:120, (np.abs(out) > 17) & (np.abs(out) < 25)] = 0.06
    for side, moves in ((out > 0, 90), (out < 0, 110)):  # where the steepest does
        fall[80:moves, side & (np.abs(out) == 20)] = 0.08
        fall[moves:120, side & (np.abs(out) == 22)] = 0.08
    film = np.cumsum(-np.sign(out) * fall, axis=1)
    walls = walls_of((0.1 + film - film.min()).astype(np.float32), middle=60.0)
    for strength, moves in ((walls.strength_right, 90), (walls.strength_left, 110)):
        steep = np.r_[strength[64 : moves - 24], strength[moves - 15 : 96]]
        assert steep.min() > 0.97 * steep.max()
