"""Whether a seated part is narrower than the platform it stands on."""

from dataclasses import replace

import numpy as np
import pytest

from features.finding import Form
from features.inset import inset_finding
from features.top import Top
from sample_images.bench import bare_film
from sample_images.solids import Profile
from tests.features.bodies_on_film import EXACT, half_turned, mark, read
from tests.features.drawn_bodies import film, knots
from tests.features.test_screw_gap import screwed

BODY = ((0, 2), (10, 2))
PARTS = {
    "present": ((-4, 1.8), (-0.9, 1.65), (-0.01, 1.65)),
    "absent": ((-4, 2.1), (-0.9, 2.0), (-0.01, 1.98)),
}
SHOULDER = ((-4, 1.2), (-0.9, 1.2), (-0.01, 1.98))
COVERED = Top(Form("covered", 0.93), 100.0, 100.0, foot=0.9)


@pytest.mark.parametrize("state", PARTS)
@pytest.mark.parametrize("seen", [lambda f: f, half_turned])
def test_a_part_that_leaves_a_shelf_of_implant_is_told_from_one_that_does_not(state, seen):
    assert read(seen(film(knots(*PARTS[state], *BODY)))).findings["inset"].state == state


@pytest.mark.parametrize("tilt_deg", [-8.0, 8.0])
@pytest.mark.parametrize("state", PARTS)
def test_a_tilted_rim_hides_no_shelf_and_makes_none(state, tilt_deg):
    heights, radii = zip(*PARTS[state], *BODY, strict=True)
    outer = Profile(heights, radii)
    pixels, truth = bare_film(outer, tilt_deg=tilt_deg, blur_px=1.4, photons=3000)
    (left, top), (right, _) = truth["platform"]
    # the film names the ends of the part; the rim lies below them, and is 2 mm to either side
    rim = top + (truth["apex"][1] - top) * outer.top_mm / (outer.top_mm - outer.end_mm)
    middle, half = (left + right) / 2, 2.0 / truth["mm_per_px"]
    marked = truth | {"platform": [(middle - half, rim), (middle + half, rim)]}
    assert read((pixels, marked)).findings["inset"].state == state


def test_a_shoulder_that_slopes_inward_is_no_shelf():
    assert read(film(knots(*SHOULDER, *BODY))).findings["inset"].state == "absent"


@pytest.mark.parametrize(
    ("edge", "state"),
    [
        (((-0.7, 1.0), (-0.35, 1.45), (-0.01, 1.6)), "present"),
        (((-0.7, 1.5), (-0.4, 1.96), (-0.01, 1.98)), "absent"),
    ],
)
def test_the_rounded_edge_of_a_low_cover_is_no_shoulder(edge, state):
    low = screwed((0.8, 2.0, 1.25), radius=knots(*edge, *BODY))
    assert read(low).findings["inset"].state == state


def test_a_bare_platform_has_nothing_to_compare():
    found = read(film(knots(*BODY)), EXACT).findings["inset"]
    assert found.state == "not assessable"
    assert "seated" in found.reason


def test_a_hidden_joint_is_not_judged():
    _, truth = film(knots(*BODY))
    there = mark(truth)
    assert inset_finding(COVERED, there).state == "present"
    hidden = inset_finding(COVERED, mark(truth, joint="hidden"))
    assert hidden.state == "not assessable"
    assert "hidden" in hidden.reason


def test_the_nearer_to_the_limit_the_less_sure():
    _, truth = film(knots(*BODY))
    sure = [
        inset_finding(replace(COVERED, foot=foot), mark(truth)).probability
        for foot in (0.90, 0.95, 0.961)
    ]
    assert np.all(np.diff(sure) < 0)
