"""Bores: depth, mouth, and what the recipes' words make of them."""

import numpy as np
import pytest

from sample_images.bore import NO_BORE, SCREWS, make_bore
from sample_images.vocabulary import ALL_FORMS
from tests.sample_images.sections import inside, radius_mm

FORMS = {key: options[0] for key, options in ALL_FORMS.items()}
SIZES = {"bore_depth_mm": 6.0}


def bore_of(turn=0.0, lowest=9.0, forms=None, **sizes):
    return make_bore(SIZES | sizes, FORMS | {"screw": "M2"} | (forms or {}), 0.0, lowest, turn)


def test_a_solid_body_has_no_empty_space_anywhere():
    assert not NO_BORE.exists
    assert make_bore(SIZES, FORMS | {"bore": "no"}, 0.0, 9.0, 0.0) is NO_BORE
    x = np.linspace(-3, 3, 50)
    assert (inside(NO_BORE.void(), x, 0 * x, 0 * x + 0.5) < 0).all()


@pytest.mark.parametrize("screw", [name for name in ALL_FORMS["screw"] if name != "none"])
def test_a_tapped_channel_is_as_wide_as_its_screw_and_as_deep_as_drawn(screw):
    bore = bore_of(forms={"screw": screw})
    major, pitch = SCREWS[screw]
    z = np.linspace(2.0, 2.0 + pitch, 60)
    widest = max(radius_mm(bore.void(), at, 20.0) for at in z)
    assert widest == pytest.approx(major / 2, abs=2e-3)
    assert bore.depth_mm == 6.0
    assert inside(bore.void(), 0.0, 0.0, 5.99) > 0


def test_a_measured_width_takes_the_pitch_of_the_nearest_standard_screw():
    bore = bore_of(bore_width_mm=1.83)
    assert bore.width_mm == 1.83
    assert bore.thread.pitch_mm == SCREWS["UNF 1-72"][1]


def test_a_bore_ends_above_what_is_hollow_below_it():
    bore = bore_of(lowest=4.0)
    assert bore.depth_mm < 4.0
    assert bore.wall.end_mm == pytest.approx(4.0)


def test_mouth_and_index_leave_a_screw_its_thread_in_a_short_channel():
    bore = bore_of(
        bore_depth_mm=3.0,
        mouth_width_mm=3.0,
        mouth_cone_deg=4.0,
        mouth_depth_mm=4.0,
        forms={"index": "hexagon"},
        index_depth_mm=3.5,
        index_flats_mm=2.4,
    )
    assert bore.depth_mm == 3.0
    assert bore.index.depth_mm <= 2.2 + 1e-9
    assert (np.diff(bore.wall.z_mm) >= 0).all()
    assert radius_mm(bore.void(), 2.9, 20.0) <= SCREWS["M2"][0] / 2 + 0.01


def test_a_cone_opens_by_its_half_angle():
    bore = bore_of(mouth_width_mm=3.0, mouth_cone_deg=8.0, mouth_depth_mm=2.0)
    run = radius_mm(bore.void(), 0.5, 0.0) - radius_mm(bore.void(), 1.5, 0.0)
    assert np.degrees(np.arctan(run)) == pytest.approx(8.0, abs=0.2)
    assert bore.mouth_width_mm() == pytest.approx(3.0)
    assert bore.cone_deg == 8.0


def test_a_well_is_as_wide_as_measured_at_half_its_depth():
    bore = bore_of(forms={"screw": "none"}, bore_width_mm=2.5, well_taper_deg=1.5)
    assert 2 * radius_mm(bore.void(), 3.0, 0.0) == pytest.approx(2.5, abs=2e-3)
    assert bore.mouth_width_mm() > 2.5
    assert bore.thread is None


@pytest.mark.parametrize(
    ("kind", "sizes"),
    [
        ("hexagon", {"index_flats_mm": 2.4}),
        ("octagon", {"index_flats_mm": 2.6, "mouth_width_mm": 2.4, "mouth_depth_mm": 3.0}),
        ("twelve points", {"index_flats_mm": 2.5, "mouth_width_mm": 2.4, "mouth_depth_mm": 3.0}),
        (
            "three lobes",
            {"lobe_reach_mm": 1.5, "lobe_width_mm": 1.0, "mouth_width_mm": 2.4}
            | {"mouth_depth_mm": 3.0},
        ),
        (
            "cam grooves",
            {"lobe_reach_mm": 1.4, "lobe_width_mm": 0.7, "mouth_width_mm": 2.4}
            | {"mouth_depth_mm": 3.0},
        ),
    ],
)
def test_an_index_reaches_as_far_as_told_and_ends_at_its_depth(kind, sizes):
    bore = bore_of(turn=13.0, forms={"index": kind}, index_depth_mm=1.5, **sizes)
    reach = [radius_mm(bore.void(), 1.0, turn) for turn in range(0, 360, 3)]
    assert max(reach) == pytest.approx(float(bore.reach_mm(1.0)), abs=0.02)
    assert float(bore.reach_mm(2.0)) < max(reach)
    wide = bore_of(
        turn=13.0, forms={"index": kind}, index_depth_mm=1.5, opening_width_mm=3.0, **sizes
    )
    assert wide.mouth_width_mm() == pytest.approx(3.0, abs=1e-6)


@pytest.mark.parametrize(
    ("sizes", "straight_mm"),
    [
        ({"mouth_width_mm": 3.0, "mouth_cone_deg": 45.0, "mouth_depth_mm": 0.3}, 0.3),
        ({"mouth_width_mm": 3.0, "mouth_cone_deg": 8.0, "mouth_depth_mm": 2.0}, 2.0),
        ({}, 6.0),  # the screw's channel from the top
    ],
)
def test_an_openings_wall_runs_straight_as_far_as_it_was_drawn(sizes, straight_mm):
    assert bore_of(**sizes).straight_mm(0.03) == pytest.approx(straight_mm, abs=0.06)
