"""Detectability from pairs: what faces the beam shows, what is turned away or drowned less so."""

from dataclasses import replace

import numpy as np
import pytest

from sample_images.cross_hole import CrossHole
from sample_images.detectability import DETECTABLE
from sample_images.exposure import shade
from sample_images.pairs import _cut, _without, by_contrast
from sample_images.scene import Wanted, compose
from sample_images.seated import Seated
from sample_images.simulate import describe, simulate
from sample_images.truth import tell

ROWS = 180


def scene_of(family, seed=3, level="clinical", **wanted):
    return compose(family, seed, level, None, Wanted(rows=ROWS, **wanted))[0]


def judged(scene):
    return by_contrast(scene, tell(scene), shade(scene))


def with_vent(scene, azimuth_deg, width_mm=1.2):
    hole = CrossHole(scene.fixture.length_mm - 3.0, width_mm, width_mm, azimuth_deg)
    return replace(scene, fixture=replace(scene.fixture, vents=(hole,)))


@pytest.fixture(scope="module")
def bare():
    scene = scene_of("external_hex_parallel", seated="nothing")
    upright = replace(scene.site, view=replace(scene.site.view, tilt_deg=0.0))
    # no more of the film than the pairs look at
    return _cut(replace(scene, site=upright), -6.0, scene.fixture.length_mm + 2.0)[0]


@pytest.fixture(scope="module")
def facing(bare):
    """Contrast to noise of a wide vent that faces the beam."""
    return judged(with_vent(bare, 0.0))["contrast_to_noise"]["vents"]


def test_a_vent_toward_the_beam_shows_more_than_one_turned_away(bare, facing):
    aside = judged(with_vent(bare, 90.0))["contrast_to_noise"]["vents"]
    assert facing > 3 * DETECTABLE
    assert facing > 1.3 * aside > 0  # turned away it still thins the metal: a faint band


def test_a_smaller_vent_shows_less(bare, facing):
    assert facing > 2 * judged(with_vent(bare, 0.0, 0.15))["contrast_to_noise"]["vents"]


def test_each_vent_is_judged_alone_and_the_finding_by_the_best(bare):
    low = bare.fixture.length_mm - 2.0
    holes = CrossHole(low, 1.0, 1.0, 0.0), CrossHole(low - 3.0, 0.2, 0.2, 88.0)
    told = judged(replace(bare, fixture=replace(bare.fixture, vents=holes)))
    first, second = (vent["contrast_to_noise"] for vent in told["vents"])
    assert first > second
    assert told["contrast_to_noise"]["vents"] == pytest.approx(first, abs=1e-3)
    assert [vent["detectable"] for vent in told["vents"]] == [
        value > DETECTABLE for value in (first, second)
    ]


def test_noise_drowns_what_a_quiet_film_shows(bare):
    scene = with_vent(bare, 0.0, 0.6)
    quiet, loud = (
        judged(replace(scene, camera=replace(scene.camera, photons=photons, tone="linear")))
        for photons in (20000.0, 3.0)
    )
    assert quiet["contrast_to_noise"]["vents"] > 1.5 * loud["contrast_to_noise"]["vents"]


def test_an_empty_bore_is_detectable():
    told = judged(scene_of("plateau_locking_taper", 5, "clean", seated="nothing"))
    assert told["findings"]["bore"] == {"there": True, "detectable": True}


def test_filling_a_bore_leaves_solid_metal_whatever_is_seated_in_it():
    scene = scene_of("plateau_locking_taper", 5, "clean", seated="metal crown")
    depth = scene.fixture.bore.depth_mm
    filled = _cut(_without(scene, scene.fixture, "bore").scene, 1.0, depth)[0]
    solid = replace(
        _cut(scene, 1.0, depth)[0],
        fixture=scene.fixture.without("bore"),
        seated=Seated("nothing"),
    )
    beam = scene.camera.beam()
    through = [beam.signal(shade(each).transmissions) for each in (filled, solid)]
    # counted twice, the post inside would take away nine tenths of what little comes through; the
    # hair's clearance round it is interpolated, worth a tenth of a millimetre of metal
    np.testing.assert_allclose(*through, rtol=0.3, atol=1e-3)


def test_casting_only_the_feature_gives_what_casting_all_would(bare):
    other = _without(bare, bare.fixture, "bore")
    strip, rows, columns = _cut(other.scene, other.top_mm, other.end_mm)
    whole = shade(other.scene)
    fresh, kept = shade(strip), shade(bare)
    # a strip's rim may be averaged over other sub-pixels: a thousandth of the open beam
    np.testing.assert_allclose(
        fresh.transmissions, whole.transmissions[:, rows, columns], atol=2e-3
    )
    outside = np.ones(bare.site.view.shape, bool)
    outside[rows, columns] = False
    np.testing.assert_allclose(
        kept.transmissions[:, outside], whole.transmissions[:, outside], atol=2e-3
    )


def test_a_film_made_with_pairs_says_so_and_is_otherwise_the_same():
    plain = simulate("hollow_basket", 2, "clinical", rows=ROWS)
    film = simulate("hollow_basket", 2, "clinical", rows=ROWS, detectability=True)
    np.testing.assert_array_equal(film.pixels, plain.pixels)
    assert film.marks == plain.marks
    told = film.truth
    assert told["detectable_by"] == "contrast"
    assert told["asked"]["detectability"]
    for key, value in told["contrast_to_noise"].items():
        assert told["findings"][key] == {"there": True, "detectable": value > DETECTABLE}
    assert told["measures"] == describe("hollow_basket", 2, "clinical", rows=ROWS)["measures"]


def test_features_that_are_not_there_have_no_contrast(bare):
    told = judged(bare)
    assert not bare.fixture.perforations
    assert "perforations" not in told["contrast_to_noise"]
    assert "vents" not in told["contrast_to_noise"]


def test_what_is_no_implant_stays_with_the_rule():
    scene = scene_of("no_implant-fixation_screw")
    assert judged(scene) == tell(scene)
