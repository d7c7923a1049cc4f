import numpy as np
import pytest
from scipy.stats import dirichlet
from sklearn.metrics import log_loss

from identify.learning import MOST_CASES, family_shares, mean_log_score, reliability

FAMILIES = ("one", "two", "three")


def test_shares_are_the_mean_of_the_dirichlet_the_cases_leave():
    shares = family_shares(["one"] * 6 + ["two"] * 3, FAMILIES)
    assert [shares[key] for key in FAMILIES] == pytest.approx(dirichlet([7, 4, 1]).mean())


def test_without_cases_all_families_are_alike():
    assert family_shares([], FAMILIES) == pytest.approx(dict.fromkeys(FAMILIES, 1 / 3))


def test_a_thousand_cases_count_no_more_than_the_cap():
    shares = family_shares(["one"] * 1000, FAMILIES)
    assert shares["one"] == pytest.approx((1 + MOST_CASES) / (3 + MOST_CASES))
    assert shares["three"] > 0.01


def test_a_case_of_a_family_that_has_no_note_teaches_nothing():
    assert family_shares(["elsewhere"], FAMILIES) == family_shares([], FAMILIES)


def test_honest_probabilities_lie_within_the_intervals_of_their_bins():
    held = []
    for seed in range(8):
        rng = np.random.default_rng(seed)
        said, chance = rng.uniform(0.5, 0.95, 2000), rng.uniform(size=2000)
        truths = ["one" if right else "two" for right in chance < said]
        bins = reliability([{"one": p, "two": 1 - p} for p in said], truths)
        assert sum(part.cases for part in bins) == 2000
        assert [part.said for part in bins] == sorted(part.said for part in bins)
        held += [part.low <= part.said <= part.high for part in bins]
    # 40 intervals of 95 %: fewer than 34 happen once in 500
    assert sum(held) >= 34


def test_boasting_shows():
    stated = [{"one": 0.95, "two": 0.05}] * 40
    (part,) = reliability(stated, ["one", "two"] * 20, bins=1)
    assert part.right == 0.5
    assert part.high < part.said


def test_no_case_gives_no_bin_and_no_score():
    assert reliability([], []) == ()
    with pytest.raises(ValueError, match="no confirmed case"):
        mean_log_score([], [])


def test_the_log_score_is_scikit_learns():
    rng = np.random.default_rng(8)
    rows = rng.dirichlet(np.ones(3), 50)
    truths = rng.choice(FAMILIES, 50)
    stated = [dict(zip(sorted(FAMILIES), row, strict=True)) for row in rows]
    expected = log_loss(truths, rows, labels=sorted(FAMILIES))
    assert mean_log_score(stated, list(truths)) == pytest.approx(expected)
