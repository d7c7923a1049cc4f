"""The benchmark's scores against scikit-learn's, so that a table of them can be believed."""

import numpy as np
import pytest
from sklearn.metrics import brier_score_loss, log_loss

from tests.benchmarks.scores import brier, calibration_error, log_score

NAMES = ("one", "three", "two")  # sorted, as scikit-learn takes its columns


@pytest.fixture
def said():
    rng = np.random.default_rng(5)
    return rng.dirichlet(np.ones(3), 200), rng.choice(NAMES, 200)


def test_the_log_score_is_scikit_learns(said):
    rows, truths = said
    ours = [log_score(dict(zip(NAMES, row, strict=True)), t) for row, t in zip(*said, strict=True)]
    assert np.mean(ours) == pytest.approx(log_loss(truths, rows, labels=NAMES))


def test_the_brier_score_is_scikit_learns_summed_over_the_classes(said):
    rows, truths = said
    ours = [brier(dict(zip(NAMES, row, strict=True)), t) for row, t in zip(*said, strict=True)]
    theirs = sum(
        brier_score_loss(truths == name, rows[:, column]) for column, name in enumerate(NAMES)
    )
    assert np.mean(ours) == pytest.approx(theirs)


def test_a_truth_that_was_given_no_chance_costs_its_whole():
    assert brier({"one": 1.0}, "two") == pytest.approx(2.0)


def test_calibration_error_of_honest_chances_is_small_and_of_boasts_what_they_boast():
    rng = np.random.default_rng(3)
    said = rng.uniform(0.2, 0.9, 20_000)
    assert calibration_error(said, rng.uniform(size=20_000) < said) < 0.015
    assert calibration_error([0.9] * 1000, [True, False] * 500) == pytest.approx(0.4, abs=0.001)
