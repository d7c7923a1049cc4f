"""What is usual: shares of what sits on implants, and the aim of films."""

from collections import Counter

import numpy as np
import pytest

from sample_images import everyday
from sample_images.scene import Wanted, compose
from sample_images.seated import KINDS
from sample_images.simulate import FAMILIES

SEEDS = range(15)


@pytest.fixture(scope="module")
def scenes():
    return [compose(key, seed, "clinical", None, Wanted())[0] for key in FAMILIES for seed in SEEDS]


def test_tables_name_parts_that_exist_and_sum_to_one():
    for shares in (*everyday.SEATED.values(), everyday.SEATED_ON_POST):
        assert sum(shares.values()) == pytest.approx(1)
        assert set(shares) <= set(KINDS)
    assert sum(everyday.JOINT_WITH_CROWN.values()) == pytest.approx(1)


def test_two_thirds_of_clinical_films_have_something_seated(scenes):
    able = [scene for scene in scenes if scene.fixture.top_form != "ball"]
    assert len(able) > 300
    dressed = np.mean([scene.seated.kind != "nothing" for scene in able])
    # three standard errors of 2/3 in over 300 are 0.08
    assert dressed == pytest.approx(2 / 3, abs=0.08)


def test_every_part_is_met(scenes):
    met = Counter(scene.seated.kind for scene in scenes)
    assert set(met) == set(everyday.SEATED["clinical"])


def test_a_ball_carries_nothing_and_a_post_nothing_but_a_crown(scenes):
    on = {"ball": set(), "post": set()}
    for scene in scenes:
        if scene.fixture.top_form in on:
            on[scene.fixture.top_form].add(scene.seated.kind)
    assert on["ball"] == {"nothing"}
    assert on["post"] == set(everyday.SEATED_ON_POST)


def test_both_jaws_are_met(scenes):
    jaws = Counter(scene.site.jaw for scene in scenes)
    assert jaws["lower"] / len(scenes) == pytest.approx(everyday.LOWER_JAW_SHARE, abs=0.09)


def test_an_option_is_drawn_as_often_as_its_share_says():
    shares, rng = {"a": 0.1, "b": 0.0, "c": 0.6, "d": 0.3}, np.random.default_rng(4)
    met = Counter(everyday.draw_option(shares, rng) for _ in range(4000))
    assert set(met) == {"a", "c", "d"}
    for option, share in shares.items():
        assert met[option] / 4000 == pytest.approx(share, abs=0.03)


def test_the_assumed_magnification_is_that_of_the_ranges():
    receptor, source = everyday.RECEPTOR_MM, everyday.SOURCE_MM
    rng = np.random.default_rng(1)
    drawn = 1 + rng.uniform(*receptor, 20000) / rng.uniform(*source, 20000)
    assert drawn.mean() == pytest.approx(everyday.ASSUMED_MAGNIFICATION, abs=0.003)
    assert drawn.std() == pytest.approx(everyday.ASSUMED_MAGNIFICATION_STD, abs=0.002)
