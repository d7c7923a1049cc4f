"""Points held against integrals worked out by other means: brute force and Monte Carlo."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from identify.likelihood import (
    fact_density,
    number_terms,
    posterior,
    scale_nodes,
)
from identify.trust import FLOOR, Trust
from identify.weigh import find_weights, weigh
from tests.identify.small_notes import CHECKLIST, COARSE, FINE, evidence, film, notes, number

PITCH = CHECKLIST.items["thread_pitch_mm"].broad


def plain_density(x, fact):
    """Flat on [low, high] with half-Gaussian shoulders, written from the definition."""
    mass = fact.high - fact.low + np.sqrt(2 * np.pi) * fact.edge
    off = max(fact.low - x, x - fact.high, 0.0)
    return np.exp(-0.5 * (off / fact.edge) ** 2) / mass


def brute_density(x, std, fact):
    ends = sorted({fact.low, fact.high, x} | {x + k * std for k in (-8, -2, 2, 8)})
    return quad(
        lambda t: plain_density(t, fact) * norm.pdf(x, t, std),
        x - 12 * std,
        x + 12 * std,
        points=[end for end in ends if abs(end - x) < 12 * std],
        limit=400,
        epsabs=1e-13,
    )[0]


def brute_mixture(x, std, fact, broad):
    base = brute_density(x, std, broad)
    return base if fact is None else (1 - FLOOR) * brute_density(x, std, fact) + FLOOR * base


@pytest.mark.parametrize("std", [0.001, 0.02, 0.3])
@pytest.mark.parametrize("x", [0.2, 0.5, 0.6, 0.74, 0.8, 1.4])
def test_density_is_the_convolution_of_fact_and_reading(x, std):
    fact = FINE.facts["thread_pitch_mm"]
    closed = fact_density(np.array([x]), np.array([std]), fact)[0]
    assert closed == pytest.approx(brute_density(x, std, fact), rel=1e-6, abs=1e-12)


def test_density_of_a_fact_integrates_to_one():
    fact = number(3.6, 4.1, 0.15)
    total = quad(lambda x: fact_density(np.array([x]), np.array([0.05]), fact)[0], 1, 7, limit=200)
    assert total[0] == pytest.approx(1.0, abs=1e-7)


@pytest.mark.parametrize(("value", "std"), [(0.6, 0.01), (0.9, 0.02), (1.1, 0.1), (3.0, 0.05)])
def test_points_of_a_number_agree_with_brute_force_integration(value, std):
    ranking = weigh(evidence({"thread_pitch_mm": film(value, std)}), notes())
    broad = CHECKLIST.items["thread_pitch_mm"].broad
    for one in (FINE, COARSE):
        fitted = brute_mixture(value, std, one.facts["thread_pitch_mm"], broad)
        points = 10 * np.log10(fitted / brute_density(value, std, broad))
        assert ranking.find(one.key).points == pytest.approx(points, abs=1e-4)


def test_shared_scale_integral_agrees_with_monte_carlo():
    items = {
        "coronal_width_mm": film(4.25, 0.02),
        "length_mm": film(18.9, 0.1),
        "thread_pitch_mm": film(0.78, 0.01),
    }
    rel_std = 0.04
    weights = find_weights(evidence(items, rel_std), notes(FINE))
    factors = 1 + rel_std * np.random.default_rng(7).standard_normal(400_000)
    terms = {"fitted": 1.0, "broad": 1.0}
    for key, entry in items.items():
        x, std, broad = entry["value"], entry["std_local"], CHECKLIST.items[key].broad
        base = factors * fact_density(x * factors, std * factors, broad)
        fits = factors * fact_density(x * factors, std * factors, FINE.facts[key])
        terms["broad"] = terms["broad"] * base
        terms["fitted"] = terms["fitted"] * ((1 - FLOOR) * fits + FLOOR * base)
    expected = 10 * np.log10(terms["fitted"].mean() / terms["broad"].mean())
    # the Monte Carlo mean itself is good to about 0.5 % here, 0.02 points
    assert weights.totals[weights.hypotheses.index("fine_screw")] == pytest.approx(
        expected, abs=0.06
    )


def test_ratios_meet_each_familys_own_widths():
    # pitch / width 0.25 with a 3.6-4.1 body would be 0.90-1.03 mm: between the two families
    value, std = 0.25, 0.003
    ranking = weigh(evidence({"pitch_to_width": film(value, std)}, kind="none"), notes(COARSE))
    wide, pitch = COARSE.facts["coronal_width_mm"], COARSE.facts["thread_pitch_mm"]
    broad_wide, broad_pitch = (
        CHECKLIST.items[key].broad for key in ("coronal_width_mm", "thread_pitch_mm")
    )
    low, high = 0.625, 9.5  # where the nodes end; the mass beyond is negligible

    def marginal(width_density, pitch_density):
        mass = quad(width_density, low, high, limit=300)[0]
        top = quad(lambda w: width_density(w) * w * pitch_density(w), low, high, limit=300)[0]
        return top / mass

    def base(w):
        return fact_density(np.array([value * w]), np.array([std * w]), broad_pitch)[0]

    def fits(w):
        own = fact_density(np.array([value * w]), np.array([std * w]), pitch)[0]
        return (1 - FLOOR) * own + FLOOR * base(w)

    own = marginal(lambda w: plain_density(w, wide), fits)
    elsewhere = marginal(lambda w: plain_density(w, broad_wide), fits)
    fitted = (1 - FLOOR) * own + FLOOR * elsewhere
    broadly = marginal(lambda w: plain_density(w, broad_wide), base)
    expected = 10 * np.log10(fitted / broadly)
    assert ranking.find("coarse_screw").points == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize("points", [[0.0, 0.0], [900.0, -900.0], [-5000.0, -5000.0]])
def test_a_posterior_sums_to_one_however_large_the_points(points):
    chances = posterior(np.array(points), np.array([0.5, 0.5]))
    assert chances.sum() == pytest.approx(1.0)
    assert (chances >= 0).all()


def test_a_tilt_moves_all_lengths_along_the_axis_together_and_none_across():
    shared = scale_nodes(0.02, 3, 0.015)
    stretch = shared.axial / shared.factors
    spread = np.exp(shared.broad_log_weights)
    assert spread.sum() == pytest.approx(1.0)
    assert (spread * shared.factors).sum() == pytest.approx(1.0)
    assert np.sqrt((spread * (stretch - 1) ** 2).sum()) == pytest.approx(0.015, rel=0.1)
    assert np.sqrt((spread * (shared.factors - 1) ** 2).sum()) == pytest.approx(0.02, rel=0.01)


def test_shared_scale_and_tilt_together_agree_with_monte_carlo():
    entries = {
        key: CHECKLIST.items[key].model_copy(update={"along_axis": key != "coronal_width_mm"})
        for key in ("coronal_width_mm", "length_mm", "thread_pitch_mm")
    }
    checklist = CHECKLIST.model_copy(update={"items": dict(CHECKLIST.items) | entries})
    known = notes(FINE).model_copy(update={"checklist": checklist})
    items = {
        "coronal_width_mm": film(4.2, 0.02),
        "length_mm": film(18.9, 0.1),
        "thread_pitch_mm": film(0.79, 0.01),
    }
    given = evidence(items, 0.02)
    tilted = given.model_copy(
        update={"scale": given.scale.model_copy(update={"axial_rel_std": 0.03})}
    )
    weights = find_weights(tilted, known)
    rng = np.random.default_rng(11)
    scale = 1 + 0.02 * rng.standard_normal(400_000)
    along = scale * (1 + 0.03 * rng.standard_normal(400_000))
    fitted, broadly = np.ones(400_000), np.ones(400_000)
    for key, item in items.items():
        factors = along if entries[key].along_axis else scale
        x, std = item["value"] * factors, item["std_local"] * factors
        base = factors * fact_density(x, std, entries[key].broad)
        broadly *= base
        fitted *= (1 - FLOOR) * factors * fact_density(x, std, FINE.facts[key]) + FLOOR * base
    expected = 10 * np.log10(fitted.mean() / broadly.mean())
    # nodes reach 2.5 standard deviations of the tilt, so its far tails are cut: 0.1 points
    assert weights.totals[weights.hypotheses.index("fine_screw")] == pytest.approx(
        expected, abs=0.15
    )


def test_a_reading_that_keeps_well_within_what_it_states_is_weighed_so():
    fact = number(0.6, 0.7, 0.05)
    ones = np.ones(1)
    trust = Trust(astray=0.01, sharp=0.7, narrow=0.3)
    for value in (0.62, 0.75, 0.9):
        base = brute_density(value, 0.1, PITCH) * 0.3
        base += brute_density(value, 0.03, PITCH) * 0.7
        own = 0.7 * brute_density(value, 0.03, fact) + 0.3 * brute_density(value, 0.1, fact)
        terms, broad = number_terms(value, 0.1, [fact, None], PITCH, ones, trust)
        assert broad[0] == pytest.approx(np.log(base), abs=1e-6)
        assert terms[0, 0] == pytest.approx(np.log(0.99 * own + 0.01 * base), abs=1e-6)
        assert terms[1, 0] == broad[0]


def test_readings_that_err_as_they_state_are_weighed_as_before():
    fact, ones = number(0.6, 0.7, 0.05), np.ones(1)
    plain = number_terms(0.66, 0.1, [fact], PITCH, ones)
    same = number_terms(0.66, 0.1, [fact], PITCH, ones, Trust(sharp=0.6, narrow=1.0))
    assert plain[0] == pytest.approx(same[0])
