"""One turn at the wall against chords counted one by one along each ray."""

import numpy as np
import pytest
from scipy import ndimage

from features.ridge import PHASES, _blurred_rows, ridge_model, ridge_slopes

DEPTH_PX = np.arange(-14.0, 14.1, 0.8)
#                  root height blur A  k    c0  c1 crest foot phase
TURN = np.array([-5.0, 12.0, 1.5, 0.5, 0.3, 0.1, 0.0, 0.15, 0.25, 0.3])
PITCH = 20.0


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
    return 0.5 * out + 0.1


@pytest.mark.parametrize("shear", [0.0, 0.02, 0.05, 0.1])
def test_a_turn_is_the_sum_of_its_chords(shear):
    # 40 chords and half-pixel cells leave 2 % of the turn's contrast of 0.4
    assert np.abs(ridge_model(TURN, DEPTH_PX, PITCH, shear) - counted(shear)).max() < 0.008


def test_a_climbing_thread_fills_its_root_and_thins_its_crest():
    level, climbing = (ridge_model(TURN, DEPTH_PX, PITCH, shear) for shear in (0.0, 0.08))
    crest, root = round(0.3 * PHASES), round(0.8 * PHASES)
    outer, inner = (int(np.argmin(np.abs(DEPTH_PX - depth))) for depth in (0.0, 4.4))
    # a tenth of what metal adds there
    assert climbing[root, inner] > level[root, inner] + 0.03
    assert climbing[crest, outer] < level[crest, outer] - 0.03


def test_slopes_are_those_of_the_model():
    slopes = ridge_slopes(TURN, DEPTH_PX, PITCH, 0.04)
    for parameter, nudge in ((0, 0.05), (3, 0.01), (5, 0.01)):
        up, down = (TURN + sign * nudge * np.eye(10)[parameter] for sign in (1, -1))
        moved = ridge_model(up, DEPTH_PX, PITCH, 0.04) - ridge_model(down, DEPTH_PX, PITCH, 0.04)
        expected = (moved / (2 * nudge)).ravel()
        np.testing.assert_allclose(slopes[:, parameter], expected, atol=0.02)


@pytest.mark.parametrize("sigma", [0.1, 1.3, 4.0])
def test_a_blur_as_a_matrix_is_the_filter(sigma):
    line = np.random.default_rng(3).random(30)
    for mode, wrap in (("nearest", False), ("wrap", True)):
        filtered = ndimage.gaussian_filter1d(line, sigma, mode=mode, truncate=3.0)
        rows = _blurred_rows(np.arange(29) + 0.25, 30, sigma, wrap=wrap)
        assert rows @ line == pytest.approx(0.75 * filtered[:-1] + 0.25 * filtered[1:], abs=1e-12)
