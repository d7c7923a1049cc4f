"""The form of an end from the widths of its silhouette."""

import numpy as np
import pytest

from features.end_shape import DEPTHS, TILTS_DEG, read_end

SQUARE = np.exp(-0.5 * (TILTS_DEG / 6.0) ** 2)
D = np.array(DEPTHS)
ENDS = {
    "flat": np.ones(len(D)),
    "flat, a chamfer of a tenth": np.minimum(0.8 + 2 * D, 1.0),
    "dome, half a sphere": 2 * np.sqrt(np.clip(0.25 - (0.5 - D) ** 2, 0, None)),
    "dome, a third as deep as wide": np.sqrt(1 - np.clip(1 - D / 0.33, 0, 1) ** 2),
    "pointed": np.minimum(D / 0.6, 1.0),
}


@pytest.mark.parametrize("end", ENDS)
def test_a_drawn_end_has_its_form(end):
    chances = read_end(ENDS[end], SQUARE).chances
    form = end.split(",", maxsplit=1)[0]
    assert max(chances, key=chances.get) == form
    assert chances[form] > 0.6
    assert sum(chances.values()) == pytest.approx(1.0)


def test_a_tilted_flat_end_stands_over_its_plane_and_a_tilted_half_sphere_hardly():
    ten = TILTS_DEG == 10
    flat, dome = (read_end(ENDS[end], SQUARE) for end in ("flat", "dome, half a sphere"))
    # R·sin 10° = 0.087 of the width; a half sphere's far side only turns, R·(1 - cos) less
    assert flat.overhang[ten][0] == pytest.approx(0.087, abs=0.015)
    assert abs(dome.overhang[ten][0]) < 0.02


def test_an_even_end_speaks_against_a_tilt():
    fit = read_end(ENDS["flat"], SQUARE).tilt_fit
    assert fit[TILTS_DEG == 0][0] > 3 * fit[TILTS_DEG == 12][0]


def test_a_thread_run_out_in_one_place_does_not_change_the_form():
    widths = ENDS["dome, half a sphere"].copy()
    widths[5] *= 0.7
    chances = read_end(widths, SQUARE).chances
    assert max(chances, key=chances.get) == "dome"


def test_places_without_a_silhouette_are_left_out():
    widths = ENDS["pointed"].copy()
    widths[:2] = np.nan
    chances = read_end(widths, SQUARE).chances
    assert max(chances, key=chances.get) == "pointed"
