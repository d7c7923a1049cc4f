"""Crest and root of one mean turn, against rings worked out exactly.

For rings seen square, every row is the chord of its own radius: path 2·√(R(z)² − t²). No code of
the renderer or of the measuring side makes the picture.
"""

import numpy as np
import pytest
from scipy import ndimage

from features.strip import Axis, Strip
from features.thread_cell import PHASES, fit_cell, fold

RADIUS_MM = 2.0
SHAPES = {
    "usual": {},
    "log film": {"tone": "log"},
    "fine": {"depth_mm": 0.2, "pitch_mm": 0.5},
    "coarse": {"depth_mm": 0.5, "pitch_mm": 1.2},
    "0.02 mm/px": {"mm_per_px": 0.02},
    "0.04 mm/px": {"mm_per_px": 0.04},
    "soft": {"blur_px": 2.0},
    "buttress": {"lean": 0.85},
    "reverse buttress": {"lean": 0.15},
    "deep": {"depth_mm": 0.8, "pitch_mm": 0.9},
}


def ringed(*, depth_mm=0.35, pitch_mm=0.8, mm_per_px=0.03, blur_px=1.3, tone="linear", lean=0.5):
    """A strip of eight rings with 1/8 of the pitch flat at crest and root.

    `lean`: the apical flank's part of both flanks.
    """
    flat = 0.125
    step = 0.25
    z = np.arange(0, 8 * pitch_mm / mm_per_px, step)
    t = np.arange(RADIUS_MM / mm_per_px - 45, RADIUS_MM / mm_per_px + 22, step)
    coronal = flat / 2 + (1 - lean) * (1 - 2 * flat) + flat / 2
    from_crest = (z * mm_per_px / pitch_mm + coronal) % 1 - coronal
    flank = np.where(from_crest > 0, lean, 1 - lean) * (1 - 2 * flat)
    rise = np.clip(1 - (np.abs(from_crest) - flat / 2) / flank, 0, 1)
    radius = (RADIUS_MM - depth_mm + depth_mm * rise) / mm_per_px
    path = 2 * mm_per_px * np.sqrt(np.maximum(radius[:, None] ** 2 - t[None] ** 2, 0))
    seen = ndimage.gaussian_filter(
        0.4 * np.exp(-0.55 * path), blur_px / step, mode=("wrap", "nearest")
    )
    grey = 1 - seen if tone == "linear" else np.log(seen) / np.log(1e-3)
    grey, every = grey[::4, ::4], slice(None, None, 4)
    axis = Axis((0.0, 0.0), np.pi / 2, float(z[-1]))
    return Strip(grey, np.ones(grey.shape, bool), z[every], t[every], axis)


@pytest.mark.parametrize("shape", SHAPES)
def test_crest_and_root_of_exact_rings_are_read_within_15_um(shape):
    made = {"depth_mm": 0.35, "pitch_mm": 0.8, "mm_per_px": 0.03} | SHAPES[shape]
    strip = ringed(**made)
    step, pitch = made["mm_per_px"], made["pitch_mm"] / made["mm_per_px"]
    line = np.full(len(strip.z_px), (RADIUS_MM - made["depth_mm"] / 2) / step)
    cell, depth = fold(
        strip, strip.z_px, line, side=1.0, pitch_px=pitch, reach_px=min(max(0.55 * pitch, 6), 20)
    )
    found = fit_cell(cell, depth, pitch_px=pitch, phase=0.0)
    crest = (line[0] + found.crest_px.value) * step
    root = (line[0] + found.root_px.value) * step
    # Reached: 9 µm; rows averaged before an edge is sought read a crest 20-50 µm narrow.
    assert crest == pytest.approx(RADIUS_MM, abs=0.015)
    assert root == pytest.approx(RADIUS_MM - made["depth_mm"], abs=0.015)
    assert abs(crest - RADIUS_MM) < 1.96 * found.crest_px.std * step


def test_folding_lays_every_turn_on_the_same_rows():
    z, t = np.arange(0.0, 200.0), np.arange(-30.0, 30.0)
    turns = z / 23.7
    grey = np.cos(2 * np.pi * turns)[:, None] + 0 * t
    strip = Strip(grey, np.ones(grey.shape, bool), z, t, Axis((0.0, 0.0), 0.0, 200.0))
    cell, depth = fold(strip, z, np.full(200, 15.0), side=-1.0, pitch_px=23.7, reach_px=8.0)
    expected = np.cos(2 * np.pi * np.arange(PHASES) / PHASES)
    # sharing each sample between two of 16 phases flattens a cosine by up to 2 %
    np.testing.assert_allclose(cell.mean(axis=1), expected, atol=0.04)
    assert depth[[0, -1]] == pytest.approx([-8.0, 8.0])


def test_depth_runs_inward_on_either_side():
    z, t = np.arange(0.0, 120.0), np.arange(-30.0, 30.5)
    grey = np.broadcast_to(-np.abs(t) / 30, (120, len(t))).copy()
    strip = Strip(grey, np.ones(grey.shape, bool), z, t, Axis((0.0, 0.0), 0.0, 120.0))
    for side in (-1.0, 1.0):
        cell, depth = fold(strip, z, np.full(120, 20.0), side=side, pitch_px=20.0, reach_px=8.0)
        np.testing.assert_allclose(cell.mean(axis=0), (depth - 20.0) / 30, atol=1e-6)


@pytest.mark.parametrize("grey", [np.full((16, 25), 0.5), np.full((16, 25), 1.0)])
def test_a_faint_or_burnt_out_turn_is_not_measured(grey):
    found = fit_cell(grey, np.linspace(-12, 12, 25), pitch_px=20.0, phase=0.0)
    assert not found.crest_px
    assert not found.root_px
    assert "burnt out or too faint" in found.crest_px.reason
