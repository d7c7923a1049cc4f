from identify.contradiction import contradictions, disagreements
from identify.evidence import Evidence, Item, SetAside
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
