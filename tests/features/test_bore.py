"""The channel from the platform, drawn exactly and on simulated films."""

import math

import numpy as np
import pytest

from features import bore
from features.quantity import NotMeasured
from tests.features.bodies_on_film import read
from tests.features.drawn_bodies import MM_PER_PX, ellipse, film, knots, rod
from tests.features.simulated_films import films, relative_errors


def bored(channel, **more):
    return read(film(rod(), channel=channel, **more))


@pytest.mark.parametrize("width_mm", [1.6, 2.0, 2.4])
@pytest.mark.parametrize("depth_mm", [4.0, 6.0])
def test_a_plain_channel_has_its_width_and_depth(width_mm, depth_mm):
    found = bored(knots((0.0, width_mm / 2), (depth_mm, width_mm / 2)))
    width, depth = found.measures["bore_width"], found.measures["bore_depth"]
    # two blurred edges of a pixel each. Reached: 0.07 mm and 0.08 mm.
    assert width.value * MM_PER_PX == pytest.approx(width_mm, abs=0.1)
    assert depth.value * MM_PER_PX == pytest.approx(depth_mm, abs=0.12)
    assert width.interval[0] * MM_PER_PX < width_mm < width.interval[1] * MM_PER_PX
    assert found.findings["bore"].state == "present"


@pytest.mark.parametrize("off_px", [-8.0, 8.0])
def test_the_depth_does_not_follow_a_click_that_is_known_to_be_rough(off_px):
    body = film(rod(), channel=knots((0.0, 1.0), (6.0, 1.0)))
    ends = ((0.0, off_px), (0.0, off_px), (0.0, 0.0))
    depth = read(body, ends, std_px=8.0).measures["bore_depth"]
    # 8 px are 0.24 mm
    assert depth.value * MM_PER_PX == pytest.approx(6.0, abs=0.12)


def test_the_drill_cone_below_the_channel_is_not_counted():
    found = bored(knots((0.0, 1.0), (5.0, 1.0), (5.5, 0.0)))
    depth = found.measures["bore_depth"]
    assert depth.value * MM_PER_PX == pytest.approx(5.0, abs=0.25)  # half the cone's height
    assert depth.interval[0] * MM_PER_PX < 5.0 < depth.interval[1] * MM_PER_PX


@pytest.mark.parametrize("half_angle_deg", [5.0, 8.0, 11.0])
def test_a_conical_mouth_has_its_opening_and_its_half_angle(half_angle_deg):
    drop = 2.5 * math.tan(math.radians(half_angle_deg))
    found = bored(knots((0.0, 1.5), (2.5, 1.5 - drop), (2.51, 0.9), (6.0, 0.9)))
    mouth, cone = found.measures["bore_mouth"], found.measures["bore_cone_deg"]
    assert mouth.value * MM_PER_PX == pytest.approx(3.0, abs=0.15)
    assert cone.value == pytest.approx(half_angle_deg, abs=2.0)


@pytest.mark.parametrize("width_mm", [1.6, 2.0, 2.4])
def test_a_parallel_channel_has_a_cone_of_nought(width_mm):
    found = bored(knots((0.0, width_mm / 2), (6.0, width_mm / 2)))
    assert found.measures["bore_mouth"].value * MM_PER_PX == pytest.approx(width_mm, abs=0.1)
    cone = found.measures["bore_cone_deg"]
    assert cone.value == pytest.approx(0.0, abs=1.0)
    assert cone.std < 5


@pytest.mark.parametrize("noise", [0.02, 0.04])
def test_a_channel_that_fades_into_the_grain_has_no_depth_but_a_reason(noise):
    depth = bored(knots((0.0, 1.1), (5.0, 0.1)), noise=noise).measures["bore_depth"]
    assert "fades" in depth.reason


@pytest.mark.parametrize(("noise", "there"), [(0.014, True), (0.02, False)])
def test_a_faint_channel_with_clear_walls_ends_where_it_is_last_seen(noise, there):
    depth = bored(knots((0.0, 0.4), (5.0, 0.4)), noise=noise).measures["bore_depth"]
    assert bool(depth) == there
    if there:
        assert depth.interval[0] * MM_PER_PX < 5.0 < depth.interval[1] * MM_PER_PX


def test_a_weak_channel_that_burns_out_on_its_way_has_neither_width_nor_depth():
    pixels, truth = film(rod(), channel=knots((0.0, 0.9), (7.0, 0.3)))
    found = read((np.clip(1.07 * pixels, 0, 1), truth)).measures
    assert "fades" in found["bore_depth"].reason
    assert "fades" in found["bore_width"].reason


def burnt(channel, gain):
    """A film so dark that all but the thinner parts of the body are white."""
    pixels, truth = film(rod(), channel=channel)
    return read((np.clip(gain * pixels, 0, 1), truth)).measures


@pytest.mark.parametrize("gain", [1.1, 1.14, 1.18])
def test_an_index_in_burnt_out_metal_leaves_the_end_of_the_channel_open(gain):
    measures = burnt(knots((0.0, 1.2), (2.0, 1.2), (2.01, 0.5), (7.0, 0.5)), gain)
    assert "index" in measures["bore_depth"].reason or "fades" in measures["bore_depth"].reason


def test_what_is_too_deep_for_an_index_ends_where_it_does_in_burnt_out_metal():
    depth = burnt(knots((0.0, 0.8), (6.0, 0.8)), gain=1.1)["bore_depth"]
    assert depth.value * MM_PER_PX == pytest.approx(6.0, abs=0.12)


@pytest.mark.parametrize(("radius_mm", "gain"), [(0.7, 1.1), (0.9, 1.12)])
def test_a_chamber_in_burnt_out_metal_is_less_surely_wide_but_ends_where_it_does(radius_mm, gain):
    below = knots((0.0, 0.0), (3.99, 0.0), (4.0, radius_mm), (6.0, radius_mm))
    measures = burnt(below, gain)
    low, high = (end * MM_PER_PX for end in measures["bore_width"].interval)
    assert low < 2 * radius_mm < high
    assert measures["bore_depth"].value * MM_PER_PX == pytest.approx(6.0, abs=0.2)


@pytest.mark.parametrize(("radius_mm", "noise"), [(0.4, 0.016), (0.5, 0.025), (0.6, 0.03)])
def test_the_even_end_below_a_screw_is_told_though_it_fades_but_less_surely(radius_mm, noise):
    below = knots((0.0, 0.0), (3.5, 0.0), (3.51, radius_mm), (6.5, radius_mm))
    faint, clear = (bored(below, noise=grain).measures for grain in (noise, 0.008))
    low, high = (end * MM_PER_PX for end in faint["bore_depth"].interval)
    assert "fades" in faint["bore_width"].reason
    assert low < 6.5 < high
    assert faint["bore_depth"].std > 1.5 * clear["bore_depth"].std


@pytest.mark.parametrize(("radius_mm", "noise"), [(0.35, 0.02), (0.4, 0.025)])
def test_an_end_with_more_of_it_right_below_is_none(radius_mm, noise):
    below = knots((0.0, 0.0), (3.5, 0.0), (3.51, radius_mm), (6.5, radius_mm))
    assert "fades" in bored(below, noise=noise).measures["bore_depth"].reason


def test_a_chamber_that_fades_has_no_width_either():
    below = knots((0.0, 0.0), (3.5, 0.0), (3.51, 0.6), (6.5, 0.1))
    measures = bored(below, noise=0.02).measures
    assert "fades" in measures["bore_depth"].reason
    assert "fades" in measures["bore_width"].reason


def test_a_chamber_whose_end_lies_aslant_ends_there_nevertheless():
    def missing(t, z):
        return 0.5 * ((z > 4) & (z < 6 + 0.4 * t)) * np.sqrt(np.maximum(1 - t**2, 0))

    depth = read(film(rod(), notch=missing)).measures["bore_depth"]
    assert depth.value * MM_PER_PX == pytest.approx(6.0, abs=0.15)


@pytest.mark.parametrize("why", bore.NOT_THE_TAP)
def test_where_the_lowest_part_is_no_tap_its_end_is_not_the_channels(monkeypatch, why):
    monkeypatch.setattr(bore, "tapped_width", lambda *_, **__: (NotMeasured(why), ()))
    depth = bored(knots((0.0, 1.0), (5.0, 1.0))).measures["bore_depth"]
    assert "does not look like a channel's own end" in depth.reason


def test_a_clear_channel_is_read_between_coarse_bone():
    def bone(z):
        return 0.4 + 0.15 * np.sin(2 * np.pi * z / 1.7)

    body = film(rod(), channel=knots((0.0, 1.0), (6.0, 1.0)), beside=bone)
    depth = read(body).measures["bore_depth"]
    assert depth.value * MM_PER_PX == pytest.approx(6.0, abs=0.12)


def test_a_hole_below_the_channel_leaves_its_depth_open():
    hole = ellipse(1.2, 3.0, 6.0)
    depth = bored(knots((0.0, 0.7), (5.0, 0.7)), holes=[hole]).measures["bore_depth"]
    assert "hole through the body" in depth.reason


def broken_off(half_mm, *below_mm):
    """A channel filled by a screw from an aslant break at 3 mm on; but for (from, to) below."""

    def missing(t, z):
        gap = (z > 0) & (z < 3.0 + 0.4 * t)
        for first, last in below_mm:
            gap |= (first < z) & (z < last)
        return 0.5 * gap * np.sqrt(np.maximum(1 - (t / half_mm) ** 2, 0))

    return read(film(rod(), notch=missing)).measures["bore_depth"]


def test_a_screw_broken_off_leaves_the_depth_open():
    assert "aslant" in broken_off(1.4).reason


@pytest.mark.parametrize("end_mm", [6.0, 8.0])
def test_where_the_channel_is_seen_again_below_a_broken_screw_it_ends_there(end_mm):
    depth = broken_off(0.9, (end_mm - 1.2, end_mm))
    assert depth.value * MM_PER_PX == pytest.approx(end_mm, abs=0.15)


def test_a_solid_body_has_no_channel():
    found = read(film(rod()))
    assert found.findings["bore"].state == "absent"
    assert not found.measures["bore_width"]
    assert "no channel" in found.measures["bore_width"].reason


def test_something_seated_over_a_solid_body_leaves_the_channel_not_assessable():
    found = read(film(knots((-4.0, 1.9), (-0.01, 1.9), (0.0, 2.0), (10.0, 2.0))))
    assert found.findings["bore"].state == "not assessable"
    assert "seated" in found.findings["bore"].reason


def test_a_body_too_faint_to_look_into_is_not_called_solid():
    pixels, truth = film(rod(), channel=knots((0.0, 1.0), (6.0, 1.0)))
    found = read((0.6 + 0.06 * (pixels - 0.6), truth))
    assert found.findings["bore"].state == "not assessable"


def test_channels_of_simulated_films_are_found_and_never_denied():
    told = [film.finding("bore") for film in films()]
    states = [state for detectable, _, state in told if detectable]
    # Reached: 19 present, 5 not assessable (something is seated), of 24; absent would be false.
    assert states.count("absent") == 0
    assert states.count("present") >= 0.7 * len(states)


def test_depth_of_simulated_channels_is_within_5_percent_in_median():
    errors = relative_errors("bore_depth_mm")
    assert len(errors) >= 15
    assert np.median(np.abs(errors)) < 0.05  # reached: 1.9 %


def test_width_of_simulated_round_channels_is_within_3_percent_in_median():
    # A channel with lobes is read over its lobes, not over its tapped part: left out by name.
    round_ones = [film for film in films() if film.family != "tri_channel"]
    errors = relative_errors("bore_width_mm", round_ones)
    assert len(errors) >= 12
    assert np.median(np.abs(errors)) < 0.03
