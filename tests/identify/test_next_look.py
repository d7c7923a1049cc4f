import time

import numpy as np
import pytest

from identify.evidence import Evidence, Item, SetAside
from identify.knowledge import load_notes
from identify.next_look import next_looks
from identify.trust import FLOOR
from identify.weigh import weigh
from tests.identify.small_notes import CHECKLIST, COARSE, FINE, SMOOTH, family, notes, states


def looks(evidence, known=None):
    known = known or notes()
    return next_looks(evidence, known, weigh(evidence, known))


def by_item(found):
    return {look.item: look for look in found}


def entropy(chances):
    return -sum(p * np.log2(p) for p in chances)


def test_gain_agrees_with_the_sum_over_answers_worked_by_hand():
    priors = {"fine_screw": 0.88 / 3, "coarse_screw": 0.88 / 3, "smooth_cylinder": 0.88 / 3}
    priors |= {"none_of_these": 0.08, "not_an_implant": 0.04}
    seen = {"fine_screw": 0.1, "coarse_screw": 0.02, "smooth_cylinder": 0.7}
    broad = 0.2
    present = {key: (1 - FLOOR) * seen.get(key, broad) + FLOOR * broad for key in priors}
    expected = entropy(priors.values())
    for answer in (present, {key: 1 - p for key, p in present.items()}):
        chance = sum(priors[key] * answer[key] for key in priors)
        expected -= chance * entropy([priors[key] * answer[key] / chance for key in priors])
    assert by_item(looks(Evidence()))["vents"].gain_bits == pytest.approx(expected, abs=1e-9)


def test_an_answered_question_is_not_asked_again():
    assert "vents" not in by_item(looks(Evidence(items={"vents": Item(state="absent", by="eye")})))


def test_cannot_tell_is_not_asked_again():
    unsure = Evidence(items={"vents": Item(state="can't tell", by="eye")})
    aside = Evidence(
        set_aside={"vents": SetAside(reason="?", item=Item(state="can't tell", by="eye"))}
    )
    assert "vents" not in by_item(looks(unsure))
    assert "vents" not in by_item(looks(aside))


def test_what_the_film_could_not_assess_is_still_asked():
    aside = Evidence(set_aside={"vents": SetAside(reason="covered by a crown")})
    assert "vents" in by_item(looks(aside))


def test_only_questions_a_person_can_answer_are_offered():
    asked = by_item(looks(Evidence()))
    assert "flutes" not in asked  # no question
    assert "thread_pitch_mm" not in asked  # a measurement
    for item in asked:
        assert CHECKLIST.items[item].asked_of


def test_an_exposure_is_never_offered():
    for look in looks(Evidence()):
        words = f"{look.question} {look.why}".lower()
        assert not any(word in words for word in ("expos", "x-ray", "radiograph", "another film"))


def test_effort_and_harm_set_a_question_back():
    # one question, as informative for either item; only the cost differs
    costly = CHECKLIST.items["index"]
    cheap = costly.model_copy(update={"key": "index_at_once", "effort": 0, "harm": 0})
    both = CHECKLIST.model_copy(
        update={"items": {"index": costly, "index_at_once": cheap} | dict(CHECKLIST.items)}
    )
    twin = [
        family(f.key, "cone", dict(f.facts) | {"index_at_once": f.facts["index"]})
        for f in (FINE, COARSE, SMOOTH)
    ]
    known = notes(*twin).model_copy(update={"checklist": both})
    found = [look.item for look in looks(Evidence(), known)]
    assert found.index("index_at_once") < found.index("index")
    gains = by_item(looks(Evidence(), known))
    assert gains["index_at_once"].gain_bits == pytest.approx(gains["index"].gain_bits)


def test_a_question_all_families_answer_alike_is_not_offered():
    alike = states(present=0.2, absent=0.8)
    twins = [family(key, "cone", {"vents": alike}) for key in ("one", "two")]
    assert "vents" not in by_item(looks(Evidence(), notes(*twins)))


def test_the_reason_names_the_two_it_would_tell_apart():
    items = {"taper_deg": Item(value=0.0, std_local=0.1, by="film")}
    found = by_item(looks(Evidence(items=items), notes(FINE, SMOOTH)))["vents"]
    assert "Fine screw" in found.why
    assert "Smooth cylinder" in found.why


def test_gains_are_never_negative_and_at_most_what_is_unknown():
    known = notes()
    ranking = weigh(Evidence(), known)
    unknown = entropy([support.probability for support in ranking.supports])
    for look in next_looks(Evidence(), known, ranking):
        assert 0 <= look.gain_bits <= unknown


def test_twenty_three_families_take_at_most_fifty_milliseconds():
    many = notes(*(family(f"copy_{n}", "cone", dict(FINE.facts)) for n in range(23)))
    evidence = Evidence(items={"taper_deg": Item(value=0.0, std_local=0.1, by="film")})
    ranking = weigh(evidence, many)
    spent = []
    for _ in range(5):
        start = time.process_time()
        next_looks(evidence, many, ranking)
        spent.append(time.process_time() - start)
    assert min(spent) < 0.050


REAL = load_notes()


def real_looks(state="nothing", **more):
    seen = Evidence(items={"top_form": Item(state=state, by="film")})
    return next_looks(seen, REAL, weigh(seen, REAL), **more)


def test_records_come_before_anything_is_unscrewed():
    order = [look.item for look in real_looks("covered")]
    assert order.index("placing_clinic") < order.index("index")
    assert order.index("implant_card") < order.index("platform_shape")


def test_a_record_gains_what_is_unknown_as_often_as_it_is_to_be_had():
    found = by_item(real_looks())
    seen = Evidence(items={"top_form": Item(state="nothing", by="film")})
    unknown = entropy([s.probability for s in weigh(seen, REAL).supports])
    tells = next(i.tells for i in REAL.checklist.inquiries if i.key == "older_films")
    assert found["older_films"].gain_bits == pytest.approx(tells * unknown)


def test_looking_from_above_is_set_back_while_something_is_seated():
    seen_open, covered = by_item(real_looks()), by_item(real_looks("covered"))
    assert "come off first" in covered["index"].why
    assert "come off first" not in seen_open["index"].why


def test_a_part_on_top_is_not_asked_about_where_there_is_none():
    assert "inset" in by_item(real_looks("covered"))
    assert "inset" not in by_item(real_looks("nothing"))


def test_a_film_is_offered_only_where_one_is_due_and_last():
    assert all(look.kind != "exposure" for look in real_looks())
    due = real_looks(film_due=True)
    kinds = [look.kind for look in due]
    first = kinds.index("exposure")
    assert set(kinds[first:]) == {"exposure"}
    assert all(look.question.startswith("If a film is due anyway") for look in due[first:])


def test_a_number_is_worth_what_its_answer_would_part():
    known = REAL.model_copy(
        update={"families": {k: REAL.families[k] for k in ("ceramic", "hollow_basket")}}
    )
    found = by_item(next_looks(Evidence(), known, weigh(Evidence(), known)))
    assert found["year_placed"].gain_bits > 0.05
