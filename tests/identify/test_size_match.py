"""Sizes on the shelf: probabilities as often right as they say, the scale's error shared."""

import math

import numpy as np
import pytest

from identify.evidence import Evidence
from identify.shelf import Shelf
from identify.shelf_words import match_sentence
from identify.size_match import match_sizes
from tests.identify.shelves import FAMILY, NOTES, shelf, size

NEAR = NOTES.shelf.matching
THREE = shelf(
    size("3.3", platform_width_mm=3.5, body_width_mm=3.3, lengths_mm=(10, 12)),
    size("4.0", platform_width_mm=4.1, body_width_mm=3.9, lengths_mm=(8, 10, 12)),
    size("5.0", platform_width_mm=5.1, body_width_mm=4.9, lengths_mm=(8, 10)),
)
KEYS = {"platform": "platform_width_mm", "body": "coronal_width_mm", "length": "length_mm"}


def film(rel_std=0.01, std=0.05, **values):
    items = {
        KEYS[name]: {"value": value, "std_local": std, "by": "film"}
        for name, value in values.items()
    }
    return Evidence.model_validate({"scale": {"kind": "ball", "rel_std": rel_std}, "items": items})


def shares(evidence, own=THREE):
    matched = match_sizes(evidence, NOTES, own, FAMILY)
    return {share.size.size: share.probability for share in matched.shares}, matched


def test_the_size_that_was_measured_leads_and_all_sum_to_one():
    found, matched = shares(film(platform=4.12, body=3.9, length=10.1))
    assert found["4.0"] > 0.95
    assert sum(found.values()) + matched.other == pytest.approx(1)
    assert matched.shares[0].lengths[0] == (10, pytest.approx(1, abs=0.01))
    assert matched.platforms[0] == (4.1, found["4.0"])
    assert matched.counted == ("coronal_width_mm", "length_mm", "platform_width_mm")


def test_a_size_that_is_not_on_the_shelf_is_not_forced_into_one_that_is():
    found, matched = shares(film(platform=4.6, body=4.4, length=10.1))
    assert matched.other > 0.9
    assert max(found.values()) < 0.1


def test_one_platform_by_hand_agrees_with_the_arithmetic():
    own = shelf(size("4.0", platform_width_mm=4.0), size("4.2", platform_width_mm=4.2))
    items = {"platform_width_mm": {"value": 4.05, "std_local": 0.06, "by": "bench"}}
    found, _ = shares(Evidence.model_validate({"items": items}), own)
    spread = math.hypot(0.06, NEAR.platform_std_mm.value)
    odds = math.exp((0.15**2 - 0.05**2) / (2 * spread**2))
    assert found["4.0"] / found["4.2"] == pytest.approx(odds, rel=0.1)  # 0.5 % may be any reading


def test_lengths_of_one_film_that_are_wrong_together_still_find_the_size():
    # 6 % too large throughout, by a scale that is good to 3 %: body, platform, length all agree
    together = film(rel_std=0.03, std=0.03, platform=4.1 * 1.06, body=3.9 * 1.06, length=10 * 1.06)
    apart = film(rel_std=0.03, std=0.03, platform=4.1 * 1.06, body=3.9 * 0.94, length=10 * 1.06)
    right, wrong = (shares(evidence)[0]["4.0"] for evidence in (together, apart))
    assert right > 0.5
    assert right / (1 - right) > 20 * wrong / (1 - wrong)


def test_the_tilt_widens_the_length_and_leaves_the_widths_alone():
    def tilted(axial_rel_std):
        plain = film(rel_std=0.002, platform=4.1, body=3.9, length=11.0).model_dump()
        return Evidence.model_validate(
            plain | {"scale": plain["scale"] | {"axial_rel_std": axial_rel_std}}
        )

    (square, one), (off, other) = shares(tilted(0.0)), shares(tilted(0.05))
    assert one.platforms[0][0] == other.platforms[0][0] == 4.1
    # 11 mm is nobody's: off square it may be 10 or 12
    assert off["4.0"] > square["4.0"]
    assert other.other < one.other


def test_a_calliper_in_the_mouth_does_not_share_the_films_scale():
    by_hand = {"platform_width_mm": {"value": 4.1, "std_local": 0.05, "by": "mouth"}}
    sure = Evidence.model_validate({"scale": {"kind": "ball", "rel_std": 0.2}, "items": by_hand})
    unsure = film(rel_std=0.2, platform=4.1)
    assert shares(sure)[0]["4.0"] > shares(unsure)[0]["4.0"] + 0.2


def test_a_platform_seen_on_a_part_above_the_implant_tells_no_size():
    item = {"value": 4.1, "std_local": 0.05, "by": "mouth", "on": "part"}
    evidence = Evidence.model_validate({"items": {"platform_width_mm": item}})
    assert shares(evidence)[1].counted == ()
    assert shares(evidence)[1].shares == ()


def test_without_a_scale_the_ratios_tell_what_they_can():
    items = {
        "platform_to_width": {"value": 4.1 / 3.9, "std_local": 0.01, "by": "film"},
        "length_to_width": {"value": 12 / 3.9, "std_local": 0.03, "by": "film"},
    }
    found, _ = shares(Evidence.model_validate({"items": items}))
    assert found["4.0"] > 5 * found["5.0"]
    assert 0.05 < found["3.3"] < 0.9  # 10 mm at 3.3 looks nearly the same


def test_the_index_parts_two_sizes_that_are_alike():
    own = shelf(size("early", index="absent"), size("late", index="present"))
    state = {"index": {"state": "absent", "by": "mouth"}}
    found, _ = shares(Evidence.model_validate({"items": state}), own)
    assert found["early"] / found["late"] == pytest.approx(0.97 / 0.03)


def test_the_screw_parts_two_sizes_where_it_can():
    own = shelf(size("a", screw_thread="M1.6"), size("b", screw_thread="M2"))
    bore = {"bore_width_mm": {"value": 1.98, "std_local": 0.05, "by": "bench"}}
    found, _ = shares(Evidence.model_validate({"items": bore}), own)
    assert found["b"] > 20 * found["a"]


def test_a_row_that_is_silent_is_neither_helped_nor_harmed_by_a_measure():
    own = shelf(size("a", lengths_mm=(10,)), size("b"))
    near, far = (shares(film(platform=4.0, length=mm), own)[0] for mm in (10, 12))
    assert near["a"] > near["b"]
    assert far["a"] < far["b"]


def test_the_number_of_lengths_a_size_comes_in_gives_it_no_share():
    own = shelf(size("a", lengths_mm=(8, 10, 12, 14)), size("b", lengths_mm=(8,)))
    found, _ = shares(film(platform=4.0), own)
    assert found["a"] == pytest.approx(found["b"])


def test_the_order_of_the_rows_changes_nothing():
    turned = Shelf(THREE.sizes[::-1])
    evidence = film(platform=4.0, length=10.3)
    assert shares(evidence)[0] == pytest.approx(shares(evidence, turned)[0])


def drawn(rng, own, rel_std, std):
    """A true size, or another, with everything as the match believes it to be."""
    other = rng.random() < NEAR.prior_other.value
    facts = NOTES.families[FAMILY].facts
    if other:
        body = rng.uniform(facts["coronal_width_mm"].low, facts["coronal_width_mm"].high)
        platform = body + rng.normal(0, NEAR.body_beside_platform_std_mm.value)
        length = rng.uniform(facts["length_mm"].low, facts["length_mm"].high)
        name = None
    else:
        true = own.sizes[rng.integers(len(own.sizes))]
        body = rng.normal(true.body_width_mm, NEAR.body_std_mm.value)
        platform = rng.normal(true.platform_width_mm, NEAR.platform_std_mm.value)
        length = rng.normal(rng.choice(true.lengths_mm), NEAR.length_std_mm.value)
        name = true.size
    scale = rng.normal(1, rel_std)
    read = {"platform": platform, "body": body, "length": length}
    return name, {key: mm / scale + rng.normal(0, std) for key, mm in read.items()}


def test_stated_probabilities_are_as_often_right_as_they_say():
    own = shelf(
        *(
            size(f"{body}", platform_width_mm=body + 0.15, body_width_mm=body, lengths_mm=(9, 11))
            for body in (3.4, 3.6, 3.8, 4.0, 4.2)
        )
    )
    rng = np.random.default_rng(3)
    stated, right = [], []
    for _ in range(300):
        name, values = drawn(rng, own, rel_std=0.04, std=0.08)
        found, matched = shares(film(rel_std=0.04, std=0.08, **values), own)
        for key, chance in [*found.items(), (None, matched.other)]:
            stated.append(chance)
            right.append(key == name)
    order = np.argsort(stated)
    for part in np.array_split(order, 6):
        said, was = np.mean(np.array(stated)[part]), np.mean(np.array(right)[part])
        # 300 answers in each sixth: 3 binomial standard deviations, and 0.02 for the floor
        assert was == pytest.approx(said, abs=3 * math.sqrt(said * (1 - said) / 300) + 0.02)


@pytest.mark.parametrize(
    ("own", "evidence", "says"),
    [
        (Shelf(), film(platform=4.1), "Nothing is on the shelf yet"),
        (shelf(size(family="ceramic")), film(platform=4.1), "belongs to this family (screws)"),
        (THREE, film(), "cannot be told apart"),
        (THREE, film(platform=4.1, length=12), "4.1 mm platform "),
    ],
)
def test_the_sentence_says_what_can_be_said(own, evidence, says):
    assert says in match_sentence(match_sizes(evidence, NOTES, own, FAMILY), own, "screws")


def test_no_size_is_ever_certain_in_words():
    matched = match_sizes(film(platform=4.1, body=3.9, length=12), NOTES, THREE, FAMILY)
    assert "100 %" not in match_sentence(matched, THREE, "screws")
