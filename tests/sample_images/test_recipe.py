"""Recipes are read strictly."""

import copy

import numpy as np
import pytest

from sample_images.recipe import BadRecipe, check_recipe, draw, load_recipe
from sample_images.simulate import FAMILIES

STEP_ONE = {
    "pressfit_cylinder_plain_bore",
    "hollow_basket",
    "plateau_locking_taper",
    "external_hex_parallel",
    "internal_hex_tapered",
    "tri_channel",
    "tissue_level_cone",
    "bone_level_cone",
}


def recipe():
    return copy.deepcopy(load_recipe("external_hex_parallel"))


def test_the_first_eight_families_have_a_valid_recipe():
    assert set(FAMILIES) >= STEP_ONE
    for family in FAMILIES:
        assert load_recipe(family)["family"] == family


def spoil_unknown_dimension(bad):
    bad["dimensions"]["lenght_mm"] = bad["dimensions"].pop("length_mm")


def spoil_unknown_form(bad):
    bad["forms"]["colour"] = bad["forms"]["collar"]


def spoil_unknown_option(bad):
    bad["forms"]["apex"]["options"] = {"square": 1.0}


def spoil_unknown_top(bad):
    bad["maker"] = "none"


def spoil_standing(bad):
    bad["dimensions"]["length_mm"]["standing"] = "somebody said"


def spoil_source(bad):
    bad["dimensions"]["length_mm"]["standing"] = "source"


def spoil_order(bad):
    bad["dimensions"]["length_mm"] |= {"low": 15.0, "high": 8.0}


def spoil_size(bad):
    bad["dimensions"]["length_mm"] |= {"high": 150.0}


def spoil_number(bad):
    bad["dimensions"]["length_mm"] |= {"high": "long"}


def spoil_shares(bad):
    bad["forms"]["vents"]["options"] = {"none": 0.5, "one": 0.6}


def spoil_missing(bad):
    del bad["dimensions"]["taper_deg"]


def spoil_platform(bad):
    bad["dimensions"]["flange_mm"] = bad["dimensions"]["taper_deg"]


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (spoil_unknown_dimension, "'lenght_mm' is not a known dimension"),
        (spoil_unknown_form, "'colour' is not a known form"),
        (spoil_unknown_option, "'square' is not a known option of apex"),
        (spoil_unknown_top, "'maker' is not a known entry"),
        (spoil_standing, "dimensions.length_mm needs a standing"),
        (spoil_source, "says 'source' but names none"),
        (spoil_order, "swap them"),
        (spoil_size, "must lie within 4 to 70"),
        (spoil_number, "needs numbers"),
        (spoil_shares, "shares sum to 1"),
        (spoil_missing, "dimensions.taper_deg is missing"),
        (spoil_platform, "not both or neither"),
    ],
)
def test_a_faulty_recipe_is_refused_in_one_sentence(spoil, says):
    bad = recipe()
    spoil(bad)
    with pytest.raises(BadRecipe, match=says) as error:
        check_recipe(bad, "made_up.toml")
    assert str(error.value).startswith("made_up.toml: ")
    assert "\n" not in str(error.value)


def test_an_unknown_family_names_the_known_ones():
    with pytest.raises(BadRecipe, match=r"choose one of .*hollow_basket"):
        load_recipe("wooden_peg")


def test_draws_stay_inside_their_ranges():
    rng = np.random.default_rng(1)
    for family in FAMILIES:
        ranges = load_recipe(family)["dimensions"]
        for _ in range(20):
            sizes, _ = draw(load_recipe(family), rng)
            for key, value in sizes.items():
                ends = ranges[key].get("values") or [ranges[key]["low"], ranges[key]["high"]]
                assert min(ends) <= value <= max(ends)


def test_facts_replace_a_range_and_are_checked_too():
    sizes, _ = draw(recipe(), np.random.default_rng(1), {"length_mm": (9.0, 9.0)})
    assert sizes["length_mm"] == 9.0
    with pytest.raises(BadRecipe, match="'girth' is not a known dimension"):
        draw(recipe(), np.random.default_rng(1), {"girth": (1, 2)})


def spoil_edge(bad):
    bad["dimensions"]["length_mm"] |= {"edge": -0.1}


def spoil_limit(bad):
    bad["limits"] = {"height_mm": {"low": 1.0, "high": 2.0, "standing": "invented"}}


def spoil_body(bad):
    bad["dimensions"]["coronal_width_mm"] = bad["dimensions"]["body_width_mm"]


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (spoil_edge, "'edge' below 0"),
        (spoil_limit, "'height_mm' is not a known limit"),
        (spoil_body, "body_width_mm or dimensions.coronal_width_mm"),
    ],
)
def test_later_entries_are_checked_too(spoil, says):
    bad = recipe()
    spoil(bad)
    with pytest.raises(BadRecipe, match=says):
        check_recipe(bad, "made_up.toml")


def test_later_forms_leave_the_draws_of_the_earlier_ones_as_they_were():
    plain, more = recipe(), recipe()
    more["forms"]["grooves"] = {"options": {"none": 0.5, "two": 0.5}, "standing": "invented"}
    for seed in range(10):
        one = draw(plain, np.random.default_rng(seed))
        two = draw(more, np.random.default_rng(seed))
        assert one[0] == two[0]
        assert {k: v for k, v in one[1].items() if k != "grooves"} == {
            k: v for k, v in two[1].items() if k != "grooves"
        }
