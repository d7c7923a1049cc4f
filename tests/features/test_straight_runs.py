"""A noisy line cut where it steps or bends, against NumPy's own least squares."""

import numpy as np
import pytest

from features.straight_runs import noise, straight_runs

NOISE = 0.3


def noisy(values, seed=0):
    return np.asarray(values) + np.random.default_rng(seed).normal(0.0, NOISE, len(values))


def cuts(values, least_std=0.5):
    return [run.start for run in straight_runs(values, least_std=least_std)][1:]


@pytest.mark.parametrize("slope", [0.0, -0.2, 0.5])
def test_a_straight_line_is_one_run(slope):
    assert cuts(noisy(slope * np.arange(120.0))) == []


def test_it_is_cut_where_it_steps():
    stepped = np.where(np.arange(100) < 37, 20.0, 15.0)
    assert cuts(noisy(stepped)) == [37]


def test_it_is_cut_where_it_bends():
    bent = 20.0 - 0.5 * np.minimum(np.arange(100.0), 40)
    (cut,) = cuts(noisy(bent))
    assert cut == pytest.approx(40, abs=5)


def test_every_step_is_found_and_the_runs_hold_every_value():
    rows = np.arange(90)
    values = noisy(np.select([rows < 20, rows < 55], [30.0, 24.0], 18.0))
    runs = straight_runs(values, least_std=0.5)
    assert [run.start for run in runs] == [0, 20, 55]
    assert np.concatenate([rows[run] for run in runs]).tolist() == rows.tolist()


def test_a_step_that_the_least_scatter_hides_is_none():
    stepped = np.where(np.arange(100) < 50, 20.0, 19.0)
    assert cuts(stepped, least_std=0.2) == [50]
    assert cuts(stepped, least_std=3.0) == []


def test_no_other_cut_leaves_less_over():
    values = noisy(np.where(np.arange(60) < 25, 10 - 0.1 * np.arange(60), 3.0), seed=3)
    rows = np.arange(60)

    def left(cut):
        parts = rows[:cut], rows[cut:]
        return sum(np.polyfit(part, values[part], 1, full=True)[1][0] for part in parts)

    assert cuts(values) == [min(range(6, 55), key=left)]


def test_the_noise_is_what_was_added_steps_or_not():
    stepped = np.where(np.arange(600) % 100 < 50, 20.0, 14.0)
    assert noise(noisy(stepped)) == pytest.approx(NOISE, rel=0.15)
    assert noise(np.arange(5.0)) == 0.0
