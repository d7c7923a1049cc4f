"""Holes through the body: drawn exactly, and on simulated films."""

import pytest

from tests.features.bodies_on_film import read
from tests.features.drawn_bodies import MM_PER_PX, ellipse, film, knots, rod
from tests.features.simulated_films import films

CHANNEL = knots((0.0, 1.0), (4.0, 1.0))


def pierced(*holes, channel=CHANNEL, **more):
    return read(film(rod(), channel=channel, holes=holes, **more))


@pytest.mark.parametrize(
    ("across_mm", "along_mm", "shape"),
    [(0.8, 0.8, "round"), (1.2, 1.2, "round"), (1.0, 2.2, "oblong"), (1.5, 3.0, "oblong")],
)
def test_a_hole_is_found_with_its_shape_size_and_place(across_mm, along_mm, shape):
    (vent,) = pierced(ellipse(across_mm, along_mm, 7.0)).vents
    assert vent.shape == shape
    for found, true in ((vent.width, across_mm), (vent.height, along_mm), (vent.from_apex, 3.0)):
        assert found.interval[0] * MM_PER_PX < true < found.interval[1] * MM_PER_PX
    # Reached: 0.10-0.17 mm too large, from the blurred flank.
    assert vent.width.value * MM_PER_PX == pytest.approx(across_mm, abs=0.2)
    assert vent.from_apex.value * MM_PER_PX == pytest.approx(3.0, abs=0.06)
    assert vent.probability > 0.9


def test_a_solid_body_with_a_channel_has_no_vent():
    found = pierced()
    assert found.vents == ()
    assert found.findings["vents"].state == "absent"


def test_absent_never_sounds_sure_for_a_hole_may_lie_across_the_beam():
    finding = pierced().findings["vents"]
    assert finding.probability <= 0.9
    assert "across the beam" in finding.reason


def test_a_hole_above_the_apical_part_is_no_vent():
    assert read(film(rod(), holes=[ellipse(1.2, 1.2, 2.5)])).vents == ()


def test_a_faint_body_is_not_called_unvented():
    pixels, truth = film(rod(), channel=CHANNEL, holes=[ellipse(1.2, 1.2, 7.0)])
    finding = read((0.6 + 0.06 * (pixels - 0.6), truth)).findings
    assert finding["vents"].state == "not assessable"
    assert finding["perforations"].state == "not assessable"


def test_vents_of_simulated_films_turned_to_the_beam_are_seen_and_none_invented():
    told = [film.finding("vents") for film in films()]
    seen = [state == "present" for detectable, _, state in told if detectable]
    invented = [state == "present" for _, there, state in told if not there]
    # Reached: 3 of 3 seen, 0 of 19 invented.
    assert sum(seen) >= len(seen) - 1
    assert len(seen) >= 3
    assert sum(invented) <= 1
