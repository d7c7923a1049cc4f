import pytest

from features.input_file import BadInput
from identify.combining import combine
from identify.weigh import weigh
from tests.identify.small_notes import evidence, film, notes, said


def test_one_film_stays_as_it_is():
    one = evidence({"taper_deg": film(0.1, 0.2), "vents": said("absent", 0.8)}, 0.01)
    both = combine([one], notes())
    assert both.items == one.items
    assert both.scale == one.scale


def test_two_equal_films_halve_the_variance_of_every_number():
    one = evidence({"coronal_width_mm": film(4.0, 0.02), "taper_deg": film(0.2, 0.2)}, 0.02)
    both = combine([one, one], notes())
    assert both.items["coronal_width_mm"].std_local == pytest.approx(0.02 / 2**0.5)
    assert both.items["taper_deg"].std_local == pytest.approx(0.2 / 2**0.5)
    assert both.scale.rel_std == pytest.approx(0.02 / 2**0.5)


def test_the_better_film_counts_more():
    good, poor = (
        evidence({"coronal_width_mm": film(v, 0.01)}, s) for v, s in ((4.0, 0.01), (4.2, 0.04))
    )
    assert combine([good, poor], notes()).items["coronal_width_mm"].value < 4.03


def test_order_changes_nothing():
    one = evidence({"taper_deg": film(0.1, 0.2), "vents": said("absent", 0.8)}, 0.01)
    two = evidence({"taper_deg": film(0.6, 0.3), "vents": said("present", 0.6)}, 0.03)
    points = [
        [s.points for s in weigh(combine(films, notes()), notes()).supports]
        for films in ([one, two], [two, one])
    ]
    assert points[0] == pytest.approx(points[1])


def test_findings_that_agree_grow_surer_and_those_that_differ_are_named():
    one, two = (evidence({"vents": said("present", p)}) for p in (0.8, 0.9))
    assert combine([one, two], notes()).items["vents"].probability == pytest.approx(0.98)
    other = evidence({"vents": said("absent", 0.7)})
    both = combine([one, other], notes())
    assert both.items["vents"].state == "present"
    assert "differ" in both.set_aside["vents"].reason


def test_numbers_too_far_apart_are_named_and_made_no_surer():
    one, two = (evidence({"taper_deg": film(value, 0.1)}) for value in (0.0, 3.0))
    both = combine([one, two], notes())
    assert "differ" in both.set_aside["taper_deg"].reason
    assert both.items["taper_deg"].std_local > 0.5


def test_a_film_without_a_scale_adds_only_what_needs_none():
    scaled = evidence({"coronal_width_mm": film(4.0, 0.02)}, 0.01)
    bare = evidence({"pitch_to_width": film(0.2, 0.01), "taper_deg": film(0.1, 0.1)}, kind="none")
    both = combine([bare, scaled], notes())
    assert set(both.items) == {"coronal_width_mm", "taper_deg"}
    assert both.scale.kind == "ball"


def test_no_film_is_refused():
    with pytest.raises(BadInput, match="no film"):
        combine([], notes())
