import pytest

from identify.connection import group_probabilities
from identify.knowledge import load_notes
from identify.weigh import weigh
from tests.identify.small_notes import FINE, INNER, OTHER_INNER, evidence, film, notes, said


def test_what_is_seen_of_the_index_moves_the_groups_within_a_family():
    film_only = weigh(evidence({"vents": said("present")}), notes())
    seen = weigh(evidence({"vents": said("present"), "index": said("absent", by="mouth")}), notes())
    assert seen.groups["no_index"] > film_only.groups["no_index"] + 0.1


def test_kinds_of_internal_index_are_not_ranked_apart_before_the_mouth_is_seen():
    known = notes(FINE, INNER, OTHER_INNER)
    on_film = weigh(evidence({"taper_deg": film(0.0, 0.1)}), known)
    in_mouth = weigh(evidence({"index": said("present", by="mouth")}), known)
    assert on_film.to_json()["not_ranked_apart"] == ["inner_one", "inner_two"]
    assert in_mouth.to_json()["not_ranked_apart"] == []


def test_a_part_seen_in_the_mouth_is_not_the_platform_seen():
    on_part = {"index": said("present", by="mouth") | {"on": "part"}}
    ranking = weigh(evidence(on_part), notes(FINE, INNER, OTHER_INNER))
    assert ranking.not_ranked_apart == ("inner_one", "inner_two")


def test_a_groups_probability_is_the_sum_over_families():
    ranking = weigh(evidence({"thread_pitch_mm": film(0.6, 0.01)}), notes())
    expected = sum(
        ranking.find(key).probability * family.connection["cone"]
        for key, family in notes().families.items()
    )
    assert abs(ranking.groups["cone"] - expected) < 1e-12


def test_what_the_film_shows_above_the_platform_moves_the_groups_within_each_family():
    known = load_notes()
    seen = evidence({"top_form": said("male prism", by="eye")})
    one = dict.fromkeys(known.families, 0.0) | {"pressfit_cylinder_indexed": 1.0}
    shares = known.families["pressfit_cylinder_indexed"].connection
    told = group_probabilities(one, seen, known)
    assert told["external_index"] > 0.7 > shares["external_index"]
    bare = evidence({"top_form": said("nothing", by="eye")})
    assert group_probabilities(one, bare, known)["external_index"] < shares["external_index"]
    elsewhere = evidence({"vents": said("present", by="eye")})
    assert group_probabilities(one, elsewhere, known)["external_index"] == pytest.approx(
        shares["external_index"]
    )
