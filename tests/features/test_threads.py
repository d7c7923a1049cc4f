"""Pitch: published screw threads, analytic combs, and walls that have none."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from features.threads import Comb, strongest_comb
from tests.features.bodies_on_film import MM_PER_PX, half_turned, mirrored, read, screw, threaded
from tests.features.bodies_on_film import smooth as smooth_rod
from tests.features.drawn_bodies import film, rounded

PUBLISHED = Path(__file__).parents[1] / "published" / "iso_threads.toml"
THREADS = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["thread"]
WIDTH_PX = 130.0


def comb(pitch_px, turns, phases=(0.2, 0.7), *, amplitude=0.05, noise=0.0, seed=0):
    """Both walls as pure waves, crests at (n + phase) · pitch."""
    rng = np.random.default_rng(seed)
    z = np.arange(0.0, turns * pitch_px + 0.5)
    waves = [amplitude * np.cos(2 * np.pi * (z / pitch_px - phase)) for phase in phases]
    return Comb(z, *(wave + noise * rng.standard_normal(len(z)) for wave in waves))


@pytest.mark.published
@pytest.mark.parametrize("thread", THREADS, ids=lambda thread: thread["name"])
def test_a_published_screw_thread_is_measured_back(thread):
    step = 0.02
    measures = read(screw(thread, mm_per_px=step)).measures

    def found(key):
        return measures[key].value * step

    # Reached: pitch within 0.02 %, outer and root diameter within 0.5 %.
    assert found("thread_pitch") == pytest.approx(thread["pitch_mm"], rel=0.002)
    assert found("coronal_width") == pytest.approx(thread["major_mm"], rel=0.01)
    assert found("apical_width") == pytest.approx(thread["major_mm"], rel=0.01)
    assert found("core_width") == pytest.approx(thread["minor_screw_mm"], rel=0.015)


CHANGES = {
    "turned by 17°": lambda: threaded(turn_deg=17),
    "turned by 90°": lambda: threaded(turn_deg=90),
    "upside down": lambda: half_turned(threaded()),
    "mirrored": lambda: mirrored(threaded()),
    "darker": lambda: threaded(background=0.7),
    "log tone": lambda: threaded(tone="log"),
    "gamma 0.6": lambda: threaded(tone="gamma", gamma=0.6),
    "gamma 1.7": lambda: threaded(tone="gamma", gamma=1.7),
}


@pytest.mark.parametrize("change", CHANGES)
def test_the_pitch_does_not_change_when_the_film_is(change):
    pitch = read(CHANGES[change]()).measures["thread_pitch"]
    # Reached: 0.06 %; a tenth of a pixel of 27 would be 0.4 %.
    assert pitch.value * MM_PER_PX == pytest.approx(0.8, rel=0.002)


@pytest.mark.parametrize("turns", [4, 7.6, 12])
def test_the_pitch_reaches_the_bound_of_a_single_tone(turns):
    # Rife and Boorstyn 1974: relative std >= 0.551 / (K·sqrt(eta·N)), eta = A² / 2s²; two walls.
    pitch, amplitude, noise = 20.0, 0.05, 0.03
    found = [
        strongest_comb(comb(pitch, turns, noise=noise, seed=seed), width_px=WIDTH_PX).pitch_px
        for seed in range(30)
    ]
    assert all(found)
    values = np.array([pitch_px.value for pitch_px in found])
    bound = 0.551 / (turns * np.sqrt(amplitude**2 / (2 * noise**2) * 2 * turns * pitch))
    # 30 draws know a std to 13 %; 1.4 is three of those above. Reached: 0.95-1.05.
    assert np.std(values) / pitch < 1.4 * bound
    assert abs(values.mean() - pitch) < 3 * pitch * bound / np.sqrt(30)
    inside = [p.interval[0] <= pitch <= p.interval[1] for p in found]
    assert sum(inside) >= 26  # of 30 at 95 %: fewer has a chance of 1.6 %; reached: all


@pytest.mark.parametrize(("phases", "stagger"), [((0.2, 0.7), 0.5), ((0.4, 0.4), 0.0)])
def test_stagger_is_the_phase_of_the_right_wall_against_the_left(phases, stagger):
    thread = strongest_comb(comb(20.0, 8, phases, noise=0.02), width_px=WIDTH_PX)
    apart = (thread.stagger - stagger + 0.5) % 1.0 - 0.5
    assert abs(apart) < 3 * thread.stagger_std
    assert thread.stagger_std < 0.06


def test_crests_lie_on_the_crests():
    thread = strongest_comb(comb(20.0, 8, (0.25, 0.75)), width_px=WIDTH_PX)
    assert thread.crests_left_px == pytest.approx([5 + 20 * n for n in range(8)], abs=0.05)
    assert thread.crests_right_px == pytest.approx([15 + 20 * n for n in range(8)], abs=0.05)


def test_two_crests_are_no_pitch():
    thread = strongest_comb(comb(36.0, 80 / 36, (20 / 36, 20 / 36)), width_px=100)
    assert not thread.pitch_px
    assert thread.pitch_px.reason == "2 crests visible; a pitch needs 3"
    assert thread.probability < 0.5


def test_a_wall_without_any_change_has_no_thread():
    still = Comb(np.arange(300.0), np.zeros(300), np.zeros(300))
    thread = strongest_comb(still, width_px=WIDTH_PX)
    assert not thread.pitch_px
    assert thread.probability < 0.1


def test_white_noise_is_never_called_a_thread():
    for seed in range(25):
        rng = np.random.default_rng(seed)
        walls = Comb(np.arange(300.0), rng.standard_normal(300), rng.standard_normal(300))
        thread = strongest_comb(walls, width_px=WIDTH_PX)
        assert thread.probability < 0.5, (seed, thread)


@pytest.mark.parametrize("seed", range(5))
def test_a_smooth_cylinder_is_not_called_threaded(seed):
    found = read(smooth_rod(photons=800, seed=seed))
    assert found.findings["threads"].state == "absent"
    assert found.findings["rings"].state == "absent"
    assert not found.measures["thread_pitch"]
    assert not found.measures["thread_depth"]


@pytest.mark.parametrize("seed", range(6))
def test_a_rounded_end_and_a_bone_edge_are_not_called_a_thread(seed):
    edge = {"beside": lambda z: np.where(z < 2.0, 0.55, 0.4)}
    body = film(rounded(4.0, 10.0, 2.0), noise=0.01, seed=seed, **(edge if seed % 2 else {}))
    findings = read(body).findings
    assert findings["threads"].state == "absent"
    assert findings["rings"].state == "absent"


def test_a_film_too_coarse_for_a_thread_says_so():
    thread = strongest_comb(comb(3.0, 12), width_px=8.0)
    assert not thread.pitch_px
    assert "too coarse" in thread.pitch_px.reason
