"""The mouth round an implant: no negative matter, bone only below its crest, unmarked seams."""

import numpy as np
import pytest

from sample_images.anatomy import JAW_MM, Mouth, draw_tissue, trabeculae
from sample_images.tooth import Tooth

MM_PER_PX = 0.05
ABOVE_THE_FORK_MM = 1.5
X, Y = np.arange(-7, 7, MM_PER_PX), np.arange(-11, 14, MM_PER_PX)
TEETH = (
    Tooth(-5.0, -1.5, 7.0, 7.5, 13.0, 7.0, 1, 0.02),
    Tooth(6.0, -1.8, 9.0, 7.0, 12.5, 8.0, 2, 0.0),
)
MOUTH = Mouth(((-7.0, 0.4), (0.0, 0.8), (7.0, 0.2)), TEETH, 2.5, 7.0, 0.3, "canal", 11.0)


def paths(displaced_mm=0.0, seed=1, mouth=MOUTH):
    displaced = np.full((len(Y), len(X)), displaced_mm)
    return draw_tissue(mouth, X, Y, np.random.default_rng(seed)).paths_mm(displaced)


def test_no_path_is_negative_and_no_jaw_is_thicker_than_a_jaw_can_be():
    for material, path in paths().items():
        assert path.shape == (len(Y), len(X)), material
        assert path.min() >= 0, material
    assert paths()["bone"].max() < 1.2 * JAW_MM


def test_bone_begins_at_its_crest():
    bone = paths()["bone"]
    for column in (120, 140, 160):  # between the teeth
        first = Y[np.flatnonzero(bone[:, column])[0]]
        assert first == pytest.approx(float(MOUTH.crest_y_mm(X[column])), abs=MM_PER_PX)


def test_an_implant_displaces_bone_in_proportion():
    free, displaced = paths()["bone"], paths(displaced_mm=3.0)["bone"]
    column = 140
    np.testing.assert_allclose(displaced[:, column], free[:, column] * (1 - 3.0 / JAW_MM))


def test_another_state_of_chance_is_another_mouth_of_the_same_make():
    one, two = (paths(seed=seed)["bone"][300:, 110:170] for seed in (1, 2))
    assert np.corrcoef(one.ravel(), two.ravel())[0, 1] < 0.5
    assert one.mean() == pytest.approx(two.mean(), rel=0.25)


def test_trabeculae_have_no_mean_and_unit_spread():
    mesh = trabeculae((300, 300), 8.0, np.random.default_rng(3))
    assert mesh.mean() == pytest.approx(0, abs=0.15)
    assert mesh.std() == pytest.approx(1)


@pytest.mark.parametrize("tooth", TEETH)
def test_enamel_lies_on_the_crown_alone_and_the_neck_shows_no_seam(tooth):
    y = np.arange(tooth.neck_y_mm - 3, tooth.neck_y_mm + ABOVE_THE_FORK_MM, 0.02)
    x = tooth.x_mm + np.linspace(-0.3, 0.3, 13) * tooth.width_mm
    shadow = tooth.shadow(x, y)
    assert shadow.enamel_mm[y > tooth.neck_y_mm + 0.3].max() == 0
    assert shadow.enamel_mm[y < tooth.neck_y_mm - 2].min() > 0.5
    assert np.abs(np.diff(shadow.body_mm, axis=0)).max() < 0.1  # mm over 0.02 mm: no step


def test_a_calliper_finds_the_crowns_width():
    tooth = TEETH[0]
    (left, height), (right, _) = tooth.ends_mm()
    body = tooth.shadow(
        np.array([left - 0.02, left + 0.02, right - 0.02, right + 0.02]), np.array([height])
    )
    np.testing.assert_array_equal(body.body_mm[0] > 0, [False, True, True, False])
    assert right - left == pytest.approx(tooth.width_mm)
