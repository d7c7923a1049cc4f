"""Implants drawn from recipes and from facts."""

from dataclasses import replace

import numpy as np
import pytest

from sample_images.fixture import draw_fixture, make_fixture
from sample_images.plausible import THINNEST_WALL_MM
from sample_images.recipe import FOLDER, draw_forms, load_recipe
from sample_images.vocabulary import ALL_FORMS
from tests.sample_images.notes_facts import KEYS, facts_of
from tests.sample_images.sections import area_mm2, inside, radius_mm

FAMILIES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
SEEDS = range(10)
GROUPS = {
    "external_index",
    "internal_index",
    "cone",
    "self_locking",
    "no_index",
    "one_piece",
}
PLAIN = {key: options[0] for key, options in ALL_FORMS.items()}


def drawn(family, seed, facts=None, *, stress=False):
    return draw_fixture(load_recipe(family), np.random.default_rng(seed), facts, stress=stress)


def test_every_family_that_has_a_note_has_a_recipe():
    assert set(KEYS) == set(FAMILIES)


@pytest.mark.parametrize("family", FAMILIES)
def test_ten_seeds_draw_ten_sound_implants(family):
    facts, usual = facts_of(family), load_recipe(family)["group"]
    own = [drawn(family, seed) for seed in SEEDS]
    told = [drawn(family, seed, facts) for seed in SEEDS]
    stressed = [drawn(family, seed, facts, stress=True) for seed in range(3)]
    for fixture in (*own, *told, *stressed):
        assert fixture.thinnest_wall_mm() >= THINNEST_WALL_MM
        assert 4 <= fixture.length_mm <= 70
        assert np.min(fixture.envelope.value) >= 0
        z = np.linspace(0, fixture.length_mm * 0.9, 50)
        assert np.min(fixture.envelope(z) - fixture.depth_mm(z)) > 0
        assert fixture.reach_mm >= fixture.platform_radius_mm
        assert fixture.group(usual) in GROUPS


@pytest.mark.parametrize("family", ["tri_channel", "blade_plate", "porous_surfaced"])
def test_the_same_seed_draws_the_same_implant(family):
    facts = facts_of(family)
    one, two, other = (drawn(family, seed, facts) for seed in (4, 4, 5))
    assert one.sizes == two.sizes
    assert one.forms == two.forms
    assert one.vents == two.vents
    assert one.bore.index_turn_deg == two.bore.index_turn_deg
    assert one.sizes != other.sizes


@pytest.mark.parametrize(
    ("family", "top"),
    [
        ("external_hex_parallel", "male prism"),
        ("external_spline", "tines"),
        ("blade_plate", "post"),
        ("tri_channel", "nothing"),
    ],
)
def test_the_top_is_named_as_a_reader_names_it(family, top):
    assert drawn(family, 1).top_form == top


def test_index_and_group_follow_from_the_body():
    assert drawn("external_hex_parallel", 1).index == ("outside", "hexagon")
    assert drawn("tri_channel", 1).index == ("inside", "three lobes")
    assert drawn("external_spline", 1).index == ("outside", "other")
    assert drawn("plateau_locking_taper", 1).index is None
    assert drawn("plateau_locking_taper", 1).group("self_locking") == "self_locking"
    kinds = {drawn("porous_surfaced", seed).group("internal_index") for seed in SEEDS}
    assert kinds == {"internal_index", "external_index"}


SIZES = {
    "length_mm": 12.0,
    "body_width_mm": 5.0,
    "taper_deg": 2.5,
    "flange_mm": 0.0,
    "apex_round_mm": 0.8,
    "collar_height_mm": 1.0,
    "bore_depth_mm": 4.0,
    "thread_pitch_mm": 0.8,
    "thread_depth_mm": 0.35,
}


def made(forms, **sizes):
    given = PLAIN | {"screw": "M1.6", "apex": "flat"} | forms
    return make_fixture(SIZES | sizes, given, np.random.default_rng(3))


@pytest.mark.parametrize("count", [3, 4, 5])
@pytest.mark.parametrize("collar", [0.0, 1.2])
def test_steps_pass_through_the_straight_line_at_both_quarters(count, collar):
    stepped = made({"steps": "yes"}, step_count=count, collar_height_mm=collar)
    straight = made({}, collar_height_mm=collar)
    for share in (0.25, 0.75):
        at = share * 12.0
        assert float(stepped.envelope(at)) == pytest.approx(float(straight.envelope(at)), abs=1e-6)
    assert stepped.measured_taper_deg() == pytest.approx(2.5, abs=0.05)
    for z in stepped.steps:
        assert float(stepped.envelope(z - 0.01)) > float(stepped.envelope(z + 0.3))
    assert stepped.measured_collar_mm() == stepped.steps[0]


def test_a_width_a_quarter_down_sets_the_body():
    fixture = made({}, coronal_width_mm=4.4)
    assert 2 * float(fixture.envelope(3.0)) == pytest.approx(4.4)


def test_threads_deepen_toward_the_apex_about_their_stated_depth():
    fixture = made({"thread": "buttress"}, thread_deepening=1.0, bore_depth_mm=2.5)
    shallow, middle, deep = (float(fixture.depth_mm(z)) for z in (3.0, 6.0, 9.0))
    assert middle == pytest.approx(0.35, abs=0.01)
    assert shallow == pytest.approx(0.35 * 0.75, abs=0.01)
    assert deep == pytest.approx(0.35 * 1.25, abs=0.01)


def test_measured_collar_ends_at_the_first_thread_and_is_none_on_a_smooth_body():
    assert made({"thread": "v"}).measured_collar_mm() == 1.0
    assert made({}).measured_collar_mm() is None


EVERYTHING = {
    "thread": "v",
    "micro_threads": "yes",
    "flutes": "three",
    "vents": "one",
    "apex": "open",
}
FEATURE_SIZES = {
    "micro_height_mm": 1.2,
    "micro_pitch_mm": 0.3,
    "micro_depth_mm": 0.1,
    "flute_length_mm": 2.5,
    "flute_width_mm": 0.8,
    "vent_width_mm": 1.0,
    "vent_from_apex_mm": 2.5,
    "wall_mm": 0.45,
    "hollow_length_mm": 4.0,
    "perforation_width_mm": 0.6,
    "perforation_spacing_mm": 1.2,
    "taper_deg": 0.0,
}


@pytest.mark.parametrize(
    ("feature", "gone"),
    [
        ("vents", lambda f: not f.vents),
        ("perforations", lambda f: not f.perforations),
        ("flutes", lambda f: not f.has_flutes),
        ("micro_threads", lambda f: f.micro_thread is None),
        ("threads", lambda f: not f.threads),
        ("bore", lambda f: not f.has_bore),
    ],
)
def test_the_same_implant_can_be_had_without_one_feature(feature, gone):
    whole = made(EVERYTHING, **FEATURE_SIZES)
    less = whole.without(feature)
    assert not gone(whole)
    assert gone(less)
    assert less.sizes == whole.sizes
    heights = np.linspace(0.2, 11.7, 47)
    volumes = [
        sum(area_mm2(lambda rays, f=f: f.parts()[0].fields(rays)[0], z, 2.7, 120) for z in heights)
        for f in (whole, less)
    ]
    assert volumes[1] > volumes[0]  # every one of them takes metal away


def test_without_steps_the_outline_is_smooth_and_as_wide():
    stepped = made({"steps": "yes"}, step_count=4)
    smooth = stepped.without("steps")
    z = np.linspace(2.0, 10.0, 200)
    assert np.max(np.abs(np.diff(smooth.envelope(z), 2))) < 0.01
    assert np.max(np.abs(smooth.envelope(z) - stepped.envelope(z))) < 0.25
    assert not smooth.steps


def test_an_unknown_feature_is_refused():
    with pytest.raises(ValueError, match="'feature' must be one of vents"):
        made({}).without("colour")


def test_grooves_and_flutes_are_cut_where_they_say():
    grooved = made({"grooves": "two"}, groove_width_mm=1.0, groove_length_mm=4.0)
    at = (grooved.grooves.top_mm + grooved.grooves.end_mm) / 2
    around = [radius_mm(grooved.body(), at, turn) for turn in range(0, 360, 5)]
    assert min(around) < max(around) - 0.3
    above = grooved.grooves.top_mm - 0.5
    smooth = [radius_mm(grooved.body(), above, turn) for turn in range(0, 360, 5)]
    assert np.ptp(smooth) < 0.01


def test_a_blade_shows_the_width_it_was_given_whatever_its_turn():
    for turn in (-30.0, 0.0, 20.0):
        sizes = {"plate_thickness_mm": 1.2, "plate_turn_deg": turn, "coronal_width_mm": 15.0}
        blade = made(
            {"body": "plate", "head": "post"},
            platform_width_mm=3.0,
            head_width_mm=2.4,
            head_height_mm=4.0,
            **sizes,
        )
        assert 2 * float(blade.envelope(3.0)) == pytest.approx(15.0)
        x, y = np.meshgrid(np.linspace(-9, 9, 721), np.linspace(-5, 5, 201))
        metal = inside(blade.body(), x, y, np.full(x.shape, 3.0)) > 0
        shown = x[0][metal.any(axis=0)]
        assert np.ptp(shown) == pytest.approx(15.0, abs=0.06)


def test_a_blades_window_is_open_as_far_as_its_thickness_lets_the_beam_through():
    blade = made(
        {"body": "plate", "head": "post", "vents": "one"},
        platform_width_mm=3.0,
        head_width_mm=2.4,
        head_height_mm=4.0,
        plate_thickness_mm=1.2,
        plate_turn_deg=20.0,
        coronal_width_mm=15.0,
        vent_width_mm=2.0,
        vent_from_apex_mm=3.0,
    )
    window = blade.vents[0]
    limit = np.degrees(np.arctan(window.width_mm / 1.2))
    assert blade.is_open(window)
    assert blade.is_open(replace(window, azimuth_deg=limit - 1))
    assert not blade.is_open(replace(window, azimuth_deg=limit + 1))


@pytest.mark.parametrize(("azimuth", "opens"), [(0, True), (10.9, True), (12.0, False)])
def test_a_hole_through_a_round_body_is_open_within_asin_of_width_over_diameter(azimuth, opens):
    body = made({"vents": "one"}, vent_width_mm=1.0, vent_from_apex_mm=6.0, taper_deg=0.0)
    assert body.is_open(replace(body.vents[0], azimuth_deg=azimuth)) == opens  # asin(1/5): 11.5


def test_alumina_is_a_minority_among_ceramics():
    recipe = load_recipe("ceramic")
    drawn_as = [draw_forms(recipe, np.random.default_rng(seed))["material"] for seed in range(300)]
    assert set(drawn_as) == {"zirconia", "alumina"}
    assert drawn_as.count("alumina") < 0.15 * len(drawn_as)


def test_materials_are_named_and_a_porous_band_has_its_own():
    assert drawn("ceramic", 1).material == "zirconia"
    banded = next(
        fixture
        for fixture in (drawn("porous_surfaced", seed) for seed in range(60))
        if fixture.sleeve.kind == "tantalum"
    )
    assert banded.parts()[0].materials == ("ti_6al_4v", "void", "porous_tantalum")
    middle = (banded.sleeve.top_mm + banded.sleeve.end_mm) / 2
    assert float(banded.depth_mm(middle)) == 0
    assert banded.measured_depth_mm() > 0.2


def test_impossible_ranges_end_in_a_sentence():
    recipe = {
        "family": "made_up",
        "dimensions": {
            key: {"low": value, "high": value, "standing": "invented"}
            for key, value in (SIZES | {"body_width_mm": 1.7}).items()
        },
        "forms": {"screw": {"options": {"M2": 1.0}, "standing": "invented"}},
    }
    with pytest.raises(ValueError, match="made_up: its bore does not fit into its body"):
        draw_fixture(recipe, np.random.default_rng(1))
