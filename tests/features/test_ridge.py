"""One turn at the wall against chords counted one by one along each ray."""

from dataclasses import fields, replace

import numpy as np
import pytest
from scipy import ndimage

from features.ridge import PHASES, Turn, _blurred_rows, ridge_shape

DEPTH_PX = np.arange(-14.0, 14.1, 0.8)
TURN = Turn(
    root_px=-5.0, height_px=12.0, crest=0.15, foot=0.25, phase=0.3, lean=0.5, k=0.3, blur_px=1.5
)
PITCH = 20.0


def shown(shear, **other):
    """Shape and slopes of the turn, or of one that differs a little."""
    return ridge_shape(replace(TURN, **other), DEPTH_PX, pitch_px=PITCH, shear=shear)


def counted(shear, *, blur=1.5):
    """The same turn by brute force: many chords, fine grid, no sharing of counts."""
    step, v = 0.1, np.linspace(-7, 7, 1401)
    grid = np.arange(DEPTH_PX[0] - 6, DEPTH_PX[-1] + 6, step)
    out = np.zeros((PHASES, len(DEPTH_PX)))
    phase_step = PITCH / PHASES
    rows = []
    for row in range(PHASES):
        off = np.abs((row / PHASES + shear * v - 0.3 + 0.5) % 1 - 0.5)
        edge = -5 + 12 * np.clip((0.5 - 0.125 - off) / (0.5 - 0.075 - 0.125), 0, 1)
        inside = grid[:, None] + edge > v**2
        rows.append(1 - np.exp(-0.3 * inside.sum(axis=1) * (v[1] - v[0]) / 2))
    grey = np.array(rows)
    along = np.exp(-0.5 * (np.arange(-8, 9) * phase_step / blur) ** 2)
    across = np.exp(-0.5 * (np.arange(-45, 46) * step / blur) ** 2)
    grey = sum(
        w * np.roll(grey, n, axis=0) for n, w in zip(range(-8, 9), along / along.sum(), strict=True)
    )
    for row in range(PHASES):
        soft = np.convolve(np.pad(grey[row], 45, mode="edge"), across / across.sum(), "valid")
        out[row] = np.interp(DEPTH_PX, grid, soft)
    return out


@pytest.mark.parametrize("shear", [0.0, 0.02, 0.05, 0.1])
def test_a_turn_is_the_sum_of_its_chords(shear):
    # 40 chords and half-pixel cells leave 2 % of what the turn adds at most
    shape, _ = shown(shear)
    assert np.abs(shape - counted(shear)).max() < 0.016


def test_a_climbing_thread_fills_its_root_and_thins_its_crest():
    (level, _), (climbing, _) = (shown(shear) for shear in (0.0, 0.08))
    crest, root = round(0.3 * PHASES), round(0.8 * PHASES)
    outer, inner = (int(np.argmin(np.abs(DEPTH_PX - depth))) for depth in (0.0, 4.4))
    # a tenth of what metal adds there
    assert climbing[root, inner] > level[root, inner] + 0.06
    assert climbing[crest, outer] < level[crest, outer] - 0.06


NUDGES = {"crest": 0.02, "foot": 0.02, "phase": 0.02, "lean": 0.02, "k": 0.01, "blur_px": 0.05}


@pytest.mark.parametrize("shear", [0.0, 0.04, 0.08])
@pytest.mark.parametrize("parameter", range(len(fields(Turn))))
def test_slopes_are_those_of_the_shape(parameter, shear):
    name = fields(Turn)[parameter].name
    turn = replace(TURN, phase=0.34)  # no corner of its outline lies on a row
    value, nudge = getattr(turn, name), NUDGES.get(name, 0.3)
    (up, _), (down, _) = (
        shown(shear, **{"phase": turn.phase, name: value + sign * nudge}) for sign in (1, -1)
    )
    expected = (up - down) / (2 * nudge)
    _, slopes = shown(shear, phase=turn.phase)
    # chords counted in cells, and an outline with corners: a slope jumps where one is passed
    assert np.sqrt(np.mean((slopes[parameter] - expected) ** 2)) < 0.12 * np.std(expected)


@pytest.mark.parametrize("sigma", [0.1, 1.3, 4.0])
def test_a_blur_as_a_matrix_is_the_filter(sigma):
    line = np.random.default_rng(3).random(30)
    for mode, wrap in (("nearest", False), ("wrap", True)):
        filtered = ndimage.gaussian_filter1d(line, sigma, mode=mode, truncate=4.0)
        rows, wider = _blurred_rows(np.arange(29) + 0.25, 30, sigma, wrap=wrap)
        more, less = (
            _blurred_rows(np.arange(29) + 0.25, 30, sigma + nudge, wrap=wrap)[0]
            for nudge in (1e-5, -1e-5)
        )
        np.testing.assert_allclose(wider, (more - less) / 2e-5, atol=1e-6)
        assert rows @ line == pytest.approx(0.75 * filtered[:-1] + 0.25 * filtered[1:], abs=1e-12)
