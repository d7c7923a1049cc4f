"""Solids against their closed forms."""

import math

import numpy as np
import pytest

from sample_images.solids import Profile, Rays, Thread, prism, revolved
from tests.sample_images.sections import area_mm2, inside, radius_mm

AREA_SHARE = 3e-3  # of a section counted on a lattice of 700 x 700 points
MICROMETRE = 1e-3


@pytest.mark.parametrize(
    ("sides", "area"),
    [(4, 1.0), (6, math.sqrt(3) / 2), (8, 2 * (math.sqrt(2) - 1))],
)
@pytest.mark.parametrize("turn", [0.0, 17.0])
def test_a_prism_has_the_area_and_corners_of_its_polygon(sides, area, turn):
    flats = 2.7
    solid = prism(sides, flats, 0.0, 1.0, turn)
    assert area_mm2(solid, 0.5, 2.2) == pytest.approx(area * flats**2, rel=AREA_SHARE)
    corner = flats / 2 / math.cos(math.pi / sides)
    assert radius_mm(solid, 0.5, turn + 180 / sides) == pytest.approx(corner, abs=MICROMETRE)
    assert radius_mm(solid, 0.5, turn) == pytest.approx(flats / 2, abs=MICROMETRE)


def crossings_mm(thread, share):
    """Where the drop passes a share of the depth, going down from one crest to the next."""
    z = np.linspace(thread.crest_z_mm, thread.crest_z_mm + thread.pitch_mm, 20001)
    radius = 2.0
    drop = thread.drop()
    flat = z.reshape(1, -1).astype(np.float32)
    rays = Rays(np.full_like(flat, radius), flat * 0, flat, np.full_like(flat, radius), flat * 0)
    deep = np.ravel(drop(rays)) / 0.4
    down = np.flatnonzero((deep[:-1] < share) & (deep[1:] >= share))[0]
    up = np.flatnonzero((deep[:-1] >= share) & (deep[1:] < share))[-1]
    return z[down], z[up]


@pytest.mark.parametrize("apical_share", [0.12, 0.5, 0.88])
def test_the_flanks_of_a_buttress_thread_stand_at_the_angles_their_shares_give(apical_share):
    pitch, depth, crest, root = 1.0, 0.4, 0.14, 0.26
    cut = Profile((0.0, 10.0), (depth, depth))
    thread = Thread(pitch, 1, crest, root, cut, crest_z_mm=4.0, apical_share=apical_share)
    low, high = crossings_mm(thread, 0.2), crossings_mm(thread, 0.8)
    flanks = pitch * (1 - crest - root)
    for run, share in ((high[0] - low[0], apical_share), (low[1] - high[1], 1 - apical_share)):
        angle = math.degrees(math.atan2(run, 0.6 * depth))
        assert angle == pytest.approx(math.degrees(math.atan2(flanks * share, depth)), abs=0.3)


def test_a_thread_of_several_starts_climbs_its_lead_in_one_turn():
    cut = Profile((0.0, 10.0), (0.4, 0.4))
    for starts in (1, 2, 3):
        solid = revolved(Profile((0.0, 10.0), (2.0, 2.0)), (Thread(0.9, starts, 0.1, 0.3, cut),))
        z = np.linspace(3.0, 7.0, 4001)
        right = inside(solid, np.full(z.shape, 1.8), np.zeros(z.shape), z)
        turned = inside(solid, np.zeros(z.shape), np.full(z.shape, 1.8), z + 0.9 * starts / 4)
        np.testing.assert_allclose(right, turned, atol=2e-3)
