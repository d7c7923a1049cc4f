"""What stands above the platform."""

import numpy as np
import pytest

from features.channel_mouth import FILLED
from features.finding import Form
from features.quantity import Measured, NotMeasured
from features.silhouette import Silhouette
from features.top import Top, form_of, with_mouth
from tests.features.bodies_on_film import EXACT, half_turned, read
from tests.features.drawn_bodies import film, knots, rod
from tests.features.simulated_films import films, make

TOPS = {
    "nothing": ((0, 2), (10, 2)),
    "male prism, 0.7 mm": ((-0.7, 1.3), (-0.01, 1.3), (0, 2), (10, 2)),
    "male prism, 1.0 mm": ((-1.0, 1.35), (-0.01, 1.35), (0, 2), (10, 2)),
    "covered, straight": ((-4, 1.9), (-0.01, 1.9), (0, 2), (10, 2)),
    "covered, by a crown": ((-4, 3), (-0.6, 2.4), (0, 2), (10, 2)),
}


@pytest.mark.parametrize("top", TOPS)
@pytest.mark.parametrize("seen", [lambda f: f, half_turned])
def test_what_stands_on_a_drawn_platform_is_told_either_way_up(top, seen):
    assert read(seen(film(knots(*TOPS[top])))).forms["top_form"].state == top.split(",")[0]


def test_a_film_that_ends_at_the_platform_does_not_say_nothing_is_there():
    pixels, truth = film(rod())
    row = round(truth["platform"][0][1])
    shifted = {
        "platform": [(x, y - row + 1) for x, y in truth["platform"]],
        "apex": (truth["apex"][0], truth["apex"][1] - row + 1),
    }
    form = read((pixels[row - 1 :], shifted), EXACT).forms["top_form"]
    assert form.state == "not assessable"
    assert "ends at the platform" in form.reason


def test_tops_of_simulated_films_are_told():
    told = [f.form("top_form") for f in films()]
    assert sum(truth == state for truth, state in told) >= 20  # reached: 23 of 24


def test_a_covered_platform_of_a_simulated_film_is_never_called_bare():
    told = [f.form("top_form") for f in films()]
    assert all(state == "covered" for truth, state in told if truth == "covered")  # reached: 10


@pytest.mark.parametrize(
    ("family", "seed", "state"),
    [
        ("external_hex_parallel", 7, "male prism"),
        ("external_hex_tapered", 8, "male prism"),
        ("external_spline", 9, "tines"),
        ("external_spline", 10, "tines"),
        ("internal_flat_index", 11, "nothing"),
        ("one_piece_screw", 11, "post"),
        ("mini_one_piece", 13, "post"),
        ("mini_one_piece", 14, "ball"),
    ],
)
def test_everyday_films_show_what_belongs_to_the_implant_above_its_platform(family, seed, state):
    one = make(family, "clinical", seed, seated="nothing", rows=700)
    assert one.form("top_form") == (state, state)


def test_a_filled_mouth_has_a_part_on_it_however_low():
    open_mouth = Measured(100.0, 2.0, "px")
    for state in ("nothing", "male prism", "tines"):
        seen = Top(Form(state, 0.9), 20.0, 80.0)
        assert with_mouth(seen, FILLED).form.state == "covered"
        assert with_mouth(seen, open_mouth) == seen
        assert with_mouth(seen, NotMeasured("no channel is seen inside the body")) == seen
    assert with_mouth(Top(Form("covered", 0.65), 20.0, 80.0), FILLED).form.probability == 0.65


@pytest.mark.parametrize(
    ("family", "seed"),
    [("bone_level_cone", 11), ("deep_cone_progressive_thread", 12), ("plateau_locking_taper", 13)],
)
def test_a_low_cover_screw_of_an_everyday_film_is_no_prism(family, seed):
    one = make(family, "clinical", seed, seated="cover screw")
    assert one.form("top_form")[1] == "covered"


def hollow(wide, filled, grey):
    rows = np.full(20, wide)
    return Silhouette(rows, np.full(20, filled), np.full(20, grey), np.full(20, grey), 0.01)


@pytest.mark.parametrize(
    ("wide", "filled", "grey", "state"),
    [
        pytest.param(0.75, 0.55, 0.3, "male prism", id="a prism of which the axis hardly shows"),
        pytest.param(0.97, 0.95, 0.6, "tines", id="teeth"),
        pytest.param(0.97, 0.95, 0.7, "tines", id="teeth of front and back one over another"),
        pytest.param(0.97, 1.0, 0.74, "covered", id="a part, the channel in it"),
        pytest.param(0.97, 1.0, 0.9, "covered", id="a part"),
    ],
)
def test_low_walls_about_a_dark_middle_are_no_part(wide, filled, grey, state):
    assert form_of(hollow(wide, filled, grey)).state == state


def on_a_rim(wide, grey, rows, step, *, filled=1.0, sheer=0.0):
    """A tilted rim's ellipse, and `rows` that come out of it, narrowing by `sheer` a height."""
    rim = np.sqrt(1 - np.linspace(0, 0.98, round(0.09 / step)) ** 2)
    rim = rim[rim > wide]
    widths = np.concatenate([rim, wide - sheer * step * np.arange(rows)])
    shade, full = np.full(len(widths), grey), np.full(len(widths), filled)
    shade[: len(rim)], full[: len(rim)] = 0.9, 1.0
    return Silhouette(widths, full, shade, shade, step)


@pytest.mark.parametrize(
    ("seen", "state"),
    [
        pytest.param(on_a_rim(0.45, 0.5, 8, 0.007), "male prism", id="a low prism"),
        pytest.param(on_a_rim(0.78, 0.95, 8, 0.007), "covered", id="a low cover screw"),
        pytest.param(on_a_rim(0.45, 0.5, 4, 0.010), "nothing", id="too few rows to say"),
        pytest.param(on_a_rim(0.75, 0.5, 6, 0.004), "nothing", id="too low to say"),
        pytest.param(on_a_rim(0.1, 0.9, 0, 0.007), "nothing", id="the ellipse alone"),
        pytest.param(on_a_rim(0.85, 0.9, 8, 0.007, sheer=2.0), "nothing", id="a shoulder of 45°"),
        pytest.param(on_a_rim(0.85, 0.9, 8, 0.007, sheer=0.7), "nothing", id="a steep shoulder"),
    ],
)
def test_what_stands_on_a_tilted_rim_is_no_part_of_its_ellipse(seen, state):
    assert seen.height < 0.14  # so low, only its upright sides tell it from the ellipse
    assert form_of(seen).state == state


def test_teeth_that_stand_apart_are_no_prism():
    assert form_of(on_a_rim(0.8, 0.8, 8, 0.007, filled=0.4)).state != "male prism"
