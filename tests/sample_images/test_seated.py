"""What sits on an implant."""

import numpy as np
import pytest

from sample_images.fixture import draw_fixture
from sample_images.materials import material_table
from sample_images.recipe import load_recipe
from sample_images.seated import CROWNS, KINDS, seat
from tests.sample_images.sections import inside

TWO_PIECE = ("bone_level_cone", "external_hex_parallel", "external_spline", "hollow_basket")


def body(family, seed=5):
    return draw_fixture(load_recipe(family), np.random.default_rng(seed))


def seated(fixture, kind, seed=1):
    return seat(fixture, kind, np.random.default_rng(seed))


@pytest.mark.parametrize("family", TWO_PIECE)
@pytest.mark.parametrize("kind", KINDS[1:])
def test_every_part_goes_onto_a_two_piece_implant_and_shares_no_metal_with_it(family, kind):
    fixture = body(family)
    part = seated(fixture, kind)
    assert part.kind == kind
    rng = np.random.default_rng(7)
    x, y = rng.uniform(-2.6, 2.6, (2, 4000))
    z = rng.uniform(-2.0, fixture.bore.depth_mm, 4000)
    metal = inside(lambda rays: fixture.parts()[0].fields(rays)[0], x, y, z)
    filled = inside(lambda rays: part.parts()[0].fields(rays)[0], x, y, z)
    assert not ((metal > 0.01) & (filled > 0.01)).any()
    assert (filled > 0).any()
    names = {name for one in part.parts() for name in one.materials}
    assert names <= set(material_table()) | {"void"}


def test_a_crown_goes_onto_a_post_and_is_hollow_round_it():
    fixture = body("one_piece_screw", 5)
    assert fixture.top_form == "post"
    crowned = seated(fixture, "ceramic crown")
    (crown,) = crowned.parts()
    z = -0.5 * fixture.head.height_mm
    total = sum(inside(lambda rays, k=k: crown.fields(rays)[k], 0.0, 0.0, z) > 0 for k in (0, 1))
    assert total == 0
    beside = fixture.head.reach_mm + 0.3
    shell = [inside(lambda rays, k=k: crown.fields(rays)[k], beside, 0.0, z) > 0 for k in (0, 1)]
    assert any(shell)


def test_nothing_sits_on_a_ball_and_no_screw_on_a_one_piece_body():
    balls = (body("mini_one_piece", seed) for seed in range(40))
    ball = next(fixture for fixture in balls if fixture.top_form == "ball")
    for kind in KINDS:
        assert seated(ball, kind).parts() == ()
    post = body("one_piece_screw")
    assert seated(post, "cover screw").kind == "nothing"


def test_a_broken_screw_leaves_the_bore_empty_above_and_below_it():
    fixture = body("internal_flat_index")
    part = seated(fixture, "fractured screw")
    z = np.linspace(0.05, fixture.bore.depth_mm, 400)
    filled = inside(part.metal, 0 * z, 0 * z, z) > 0
    assert not filled[:20].any()
    assert filled.any()
    assert not filled[z > part.end_mm + 0.02].any()
    assert part.end_mm < fixture.bore.depth_mm


def test_chance_gives_crowns_of_no_stated_style_metal_or_porcelain():
    fixture = body("bone_level_cone")
    veneers = {
        seated(fixture, "abutment and crown", seed).crown.veneer_mm > 0 for seed in range(20)
    }
    assert veneers == {True, False}
    assert "abutment and crown" in CROWNS


def shaped(family, inset, seed=5):
    """Return a body of this family on which parts are inset, or are not."""
    recipe = load_recipe(family)
    forms = recipe["forms"] | {"inset": {"options": {inset: 1.0}, "standing": "invented"}}
    return draw_fixture({**recipe, "forms": forms}, np.random.default_rng(seed))


def reach_at_foot(part):
    x = np.linspace(0, 4, 4001)
    metal = inside(lambda rays: part.parts()[0].fields(rays)[0], x, 0 * x, 0 * x - 0.01) > 0
    return x[metal].max()


@pytest.mark.parametrize("family", ["bone_level_cone", "external_hex_parallel"])
@pytest.mark.parametrize("kind", ["healing part", "bare abutment", "metal crown"])
def test_a_part_stands_in_from_the_rim_where_it_is_inset_and_nowhere_else(family, kind):
    level, inset = shaped(family, "no"), shaped(family, "yes")
    assert level.platform_radius_mm == inset.platform_radius_mm
    flush, narrow = seated(level, kind), seated(inset, kind)
    assert flush.inset_mm <= 0.031
    assert 0.12 <= narrow.inset_mm <= 0.551
    for part in (flush, narrow):
        foot = level.platform_radius_mm - part.inset_mm
        assert reach_at_foot(part) == pytest.approx(foot, abs=0.02)


def test_what_is_inset_still_closes_the_opening_and_clears_what_stands_on_the_platform():
    for family in ("bone_level_cone", "external_hex_parallel", "external_spline"):
        for seed in range(12):
            fixture = shaped(family, "yes", seed)
            foot = fixture.platform_radius_mm - seated(fixture, "bare abutment", seed).inset_mm
            assert foot > fixture.bore.mouth_width_mm() / 2
            assert fixture.head is None or foot > fixture.head.reach_mm


def test_an_inset_changes_nothing_else_that_is_drawn():
    level, inset = (seated(shaped("bone_level_cone", state), KINDS[4]) for state in ("no", "yes"))
    assert (level.top_mm, level.end_mm) == (inset.top_mm, inset.end_mm)
