"""Facts handed over as plain dicts."""

import math

import numpy as np
import pytest
from scipy import stats

from sample_images.fixture import draw_fixture
from sample_images.plain_facts import EVENED, SHIFT, WIDEN, recipe_from_facts, stressed
from sample_images.recipe import FOLDER, draw_sizes, load_recipe
from tests.sample_images.notes_facts import facts_of

FAMILIES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
DRAWS = 400
P_LEAST = 1e-3  # of 400 draws that follow the facts, one test in a thousand fails
FARTHEST = 0.10  # largest gap of distributions: what 400 exact draws stay below at p = 0.001
# families whose outline the facts leave free: bore and thread fit into nearly every body
FREE = ("external_spline", "tri_channel")
OUTLINE = ("length_mm", "coronal_width_mm", "taper_deg", "thread_pitch_mm")


def shouldered(fact):
    """Cumulative distribution of a flat top with Gaussian shoulders."""
    low, high, edge = fact["low"], fact["high"], fact["edge"]
    area = edge * math.sqrt(math.tau)

    def cdf(x):
        x = np.asarray(x, float)
        below = area * stats.norm.cdf(np.minimum(x - low, 0) / edge)
        above = area * (stats.norm.cdf(np.maximum(x - high, 0) / edge) - 0.5)
        return (below + np.clip(x - low, 0, high - low) + above) / (high - low + area)

    return cdf


def measured(fixture):
    length = fixture.length_mm
    return {
        "length_mm": length,
        "coronal_width_mm": 2 * float(fixture.envelope(0.25 * length)),
        "taper_deg": fixture.measured_taper_deg(),
        "thread_pitch_mm": fixture.threads[-1].pitch_mm if fixture.threads else None,
    }


@pytest.fixture(scope="module", params=FREE)
def population(request):
    facts, recipe = facts_of(request.param), load_recipe(request.param)
    rng = np.random.default_rng(2)
    return facts, [draw_fixture(recipe, rng, facts) for _ in range(DRAWS)]


def test_drawn_outlines_follow_the_facts(population):
    facts, bodies = population
    for item in OUTLINE:
        values = [measured(body)[item] for body in bodies]
        values = [value for value in values if value is not None]
        assert stats.kstest(values, shouldered(facts[item])).statistic < FARTHEST, item


def share_test(counts, shares):
    """Chi-square p-value of counts against stated shares, rescaled to what can be built."""
    shares = np.array(shares) / np.sum(shares)
    return stats.chisquare(counts, shares * np.sum(counts)).pvalue


def test_drawn_findings_and_forms_follow_the_facts(population):
    facts, bodies = population
    has = {
        "vents": lambda body: bool(body.vents),
        "flutes": lambda body: body.has_flutes,
        "inset": lambda body: body.forms["inset"] == "yes",
    }
    for item, test in has.items():
        count = sum(test(body) for body in bodies)
        present = facts[item]["present"]
        p = share_test([count, DRAWS - count], [present, 1 - present])
        assert p > P_LEAST, item
    apex = ("flat", "dome", "pointed", "open")
    counts = [sum(body.forms["apex"] == form for body in bodies) for form in apex]
    assert share_test(counts, [facts["apex_form"][form] for form in apex]) > P_LEAST
    rims = ("flush", "flared", "back-tapered")
    counts = [sum(body.forms["rim"] == form for body in bodies) for form in rims]
    assert share_test(counts, [facts["collar_form"][form] for form in rims]) > P_LEAST


def test_starts_follow_the_facts_among_screws(population):
    facts, bodies = population
    screws = [
        body.threads[-1].starts for body in bodies if body.threads and body.threads[-1].starts
    ]
    odd = sum(starts % 2 for starts in screws)
    stated = facts["thread_starts"]
    p = share_test([odd, len(screws) - odd], [stated["odd"], stated["even"]])
    assert p > P_LEAST


def test_a_flush_rim_is_flush_and_a_flared_one_stands_out(population):
    _, bodies = population
    for body in bodies:
        step = body.platform_radius_mm - body.sizes["body_width_mm"] / 2
        rim = body.forms["rim"]
        assert (abs(step) < 1e-9) == (rim == "flush")
        assert (step > 0.05) == (rim == "flared")


def test_a_range_is_drawn_from_exactly_its_shouldered_density():
    entry = {"low": 0.6, "high": 1.0, "edge": 0.08, "standing": "invented"}
    rng = np.random.default_rng(5)
    values = [draw_sizes({"thread_pitch_mm": entry}, rng)["thread_pitch_mm"] for _ in range(4000)]
    assert stats.kstest(values, shouldered(entry)).pvalue > P_LEAST
    outside = np.mean([value < 0.6 or value > 1.0 for value in values])
    area = 0.08 * math.sqrt(math.tau)
    assert outside == pytest.approx(area / (0.4 + area), abs=0.03)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_takes_its_facts_with_shares_that_sum_to_one(family):
    told = recipe_from_facts(load_recipe(family), facts_of(family))
    for key, entry in told["forms"].items():
        assert sum(entry["options"].values()) == pytest.approx(1.0), key
        assert min(entry["options"].values()) >= 0
    for entry in told["dimensions"].values():
        if "least" in entry:
            assert entry["least"] <= entry["low"] <= entry["high"] <= entry["most"]


def test_stress_moves_every_range_by_a_tenth_and_makes_it_half_as_wide_again():
    facts = facts_of("bone_level_cone")
    signs = set()
    for seed in range(6):
        shifted = stressed(facts, np.random.default_rng(seed))
        for item, fact in facts.items():
            if "low" not in fact:
                continue
            middle, new = ((f["low"] + f["high"]) / 2 for f in (fact, shifted[item]))
            assert abs(new - middle) == pytest.approx(SHIFT * middle)
            width = fact["high"] - fact["low"]
            assert shifted[item]["high"] - shifted[item]["low"] == pytest.approx(WIDEN * width)
            assert shifted[item]["edge"] == pytest.approx(WIDEN * fact["edge"])
            signs.add(np.sign(new - middle))
    assert signs == {-1.0, 1.0}


def test_stress_mixes_shares_with_even_ones():
    facts = {"apex_form": {"dome": 0.7, "flat": 0.3}, "vents": {"present": 0.1, "absent": 0.9}}
    mixed = stressed(facts, np.random.default_rng(1))
    assert mixed["apex_form"]["dome"] == pytest.approx((1 - EVENED) * 0.7 + EVENED / 2)
    assert mixed["vents"]["present"] == pytest.approx((1 - EVENED) * 0.1 + EVENED / 2)


def test_limits_of_a_recipe_hold_whatever_facts_say():
    recipe, facts = load_recipe("beyond_root_form"), facts_of("beyond_root_form")
    widths = [
        draw_fixture(recipe, np.random.default_rng(seed), facts).sizes["coronal_width_mm"]
        for seed in range(20)
    ]
    most = recipe["limits"]["coronal_width_mm"]["high"]
    assert facts["coronal_width_mm"]["high"] > most
    assert max(widths) <= most


def test_bodies_without_a_post_hold_all_the_indices_there_are():
    """A post and an index exclude each other, so the share of one settles that of the other."""
    recipe, facts = load_recipe("ceramic"), facts_of("ceramic")
    bodies = [draw_fixture(recipe, np.random.default_rng(seed), facts) for seed in range(200)]
    indexed = sum(body.forms["index"] != "none" for body in bodies) / len(bodies)
    assert indexed == pytest.approx(facts["index"]["present"], abs=0.1)
    assert not [b for b in bodies if b.forms["index"] != "none" and b.head is not None]
