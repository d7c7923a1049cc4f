from identify.contradiction import contradictions, disagreements
from identify.evidence import Evidence, Item, SetAside
from identify.gathering import merge_answers
from identify.weigh import weigh
from tests.identify.small_notes import evidence, film, notes, said


def needs(items, key, rel_std=0.0):
    given = evidence(items, rel_std)
    return contradictions(weigh(given, notes()).find(key), given, notes())


def test_the_error_that_would_be_needed_is_named_in_its_unit():
    (need,) = needs({"taper_deg": film(2.5, 0.1)}, "fine_screw")
    assert need == "would need a 2.0° error in taper"  # 2.5 against 0.5 at most


def test_a_length_names_its_millimetres():
    assert (
        "0.25 mm error in thread pitch"
        in needs({"thread_pitch_mm": film(1.0, 0.01)}, "fine_screw")[0]
    )


def test_a_state_names_how_rare_it_would_be():
    (need,) = needs({"vents": said("present")}, "coarse_screw")
    assert need == "would need “vents: seen” to be the 2 % case"


def test_what_fits_needs_nothing():
    assert needs({"taper_deg": film(0.0, 0.1)}, "fine_screw") == ()


def test_the_heaviest_comes_first():
    items = {"taper_deg": film(4.0, 0.1), "vents": said("present", 0.9)}
    assert "taper" in needs(items, "coarse_screw")[0]


def test_a_rival_needs_nothing():
    assert needs({"taper_deg": film(4.0, 0.1)}, "none_of_these") == ()


def test_two_answers_that_differ_are_both_named_with_the_one_that_counts():
    told = Evidence(
        items={"vents": Item(state="present", by="eye")},
        set_aside={"vents": SetAside(reason="-", item=Item(state="absent", by="film"))},
    )
    (sentence,) = disagreements(told, notes())
    assert sentence.index("absent (film)") < sentence.index("present (seen on the film)")
    assert "the latter is weighed" in sentence


def test_answers_that_agree_are_not_mentioned():
    told = Evidence(
        items={"vents": Item(state="absent", by="eye")},
        set_aside={"vents": SetAside(reason="-", item=Item(state="absent", by="film"))},
    )
    assert disagreements(told, notes()) == ()


def test_two_people_who_differ_are_both_named_and_the_hand_on_the_thing_is_weighed():
    lab = {"index": Item(state="absent", by="bench")}
    dentist = {"index": Item(state="present", by="mouth"), "vents": Item(state="absent", by="eye")}
    for merged in (merge_answers(dentist, lab), merge_answers(lab, dentist)):
        assert merged["index"].by == "bench"
        assert merged["vents"].by == "eye"
        (sentence,) = disagreements(Evidence(items=merged), notes())
        assert "present (seen or felt in the mouth) against absent (at the bench)" in sentence


def test_an_answer_that_cannot_tell_gives_way_and_differs_from_nothing():
    unsure = {"index": Item(state="can't tell", by="bench")}
    sure = {"index": Item(state="present", by="mouth")}
    for merged in (merge_answers(unsure, sure), merge_answers(sure, unsure)):
        assert merged["index"].state == "present"
        assert disagreements(Evidence(items=merged), notes()) == ()


def test_what_was_not_weighed_beside_an_answer_changes_no_points():
    alone = Evidence(items={"index": Item(state="absent", by="bench")})
    beside = merge_answers(alone.items, {"index": Item(state="present", by="mouth")})
    points = [
        [support.points for support in weigh(given, notes()).supports]
        for given in (alone, Evidence(items=beside))
    ]
    assert points[0] == points[1]
