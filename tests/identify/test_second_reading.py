import numpy as np
import pytest

from features.input_file import BadInput
from identify.ranking import NOT_CONFIRMED
from identify.second_reading import CLAIMED, OTHER_SIZE, SUPPORTED, Claim, second_reading
from identify.weigh import weigh
from tests.identify.small_notes import evidence, film, notes, number, said

FINE_ITEMS = {
    "thread_pitch_mm": film(0.65, 0.01),
    "coronal_width_mm": film(3.75, 0.02),
    "taper_deg": film(0.0, 0.1),
}


def read(family="fine_screw", items=FINE_ITEMS, rel_std=0.005, **claim):
    return second_reading(Claim(family=family, **claim), evidence(items, rel_std), notes())


def test_a_true_claim_is_supported_and_a_false_one_contradicted():
    assert read().word == "supported"
    assert read("coarse_screw").word == "contradicted"


def test_a_claim_is_not_supported_while_another_family_is_likelier():
    """All else together may be far less likely on average, and one of it likelier all the same."""
    small = notes()
    coarse = small.families["coarse_screw"]
    facts = coarse.facts | {"thread_pitch_mm": number(2.0, 2.5, 0.05)}
    others = {
        f"other_{n}": coarse.model_copy(update={"key": f"other_{n}", "facts": facts})
        for n in range(12)
    }
    near = coarse.facts | {"thread_pitch_mm": number(0.52, 0.8, 0.05)}
    rival = {"coarse_screw": coarse.model_copy(update={"facts": near})}
    many = small.model_copy(update={"families": small.families | others | rival})
    between = evidence({"thread_pitch_mm": film(0.65, 0.02)}, 0.005)
    answers = [
        second_reading(Claim(family=family), between, many)
        for family in ("fine_screw", "coarse_screw")
    ]
    first, second = sorted(answers, key=lambda answer: -answer.share)
    assert first.share > second.share
    assert second.probability > SUPPORTED
    assert second.word == "in doubt"
    assert first.word == "supported"
    assert "likelier is" in second.sentence
    assert f"{round(100 * second.share)}" in second.sentence


def test_without_evidence_a_claim_is_in_doubt_at_even_odds():
    answer = read(items={})
    assert answer.word == "in doubt"
    assert answer.odds == pytest.approx(1.0)


def test_odds_are_the_likelihood_under_the_claim_over_its_mean_elsewhere():
    ranking = weigh(evidence(FINE_ITEMS, 0.005), notes())
    prior = {"none_of_these": 0.08, "not_an_implant": 0.04}
    likely = {s.key: 10 ** (s.points / 10) for s in ranking.supports}
    rest = [(prior.get(key, 0.88 / 3), likely[key]) for key in likely if key != "fine_screw"]
    mean = np.average([value for _, value in rest], weights=[weight for weight, _ in rest])
    assert read().odds == pytest.approx(likely["fine_screw"] / mean, rel=1e-6)


def test_a_size_is_tested_and_a_wrong_one_is_told_from_the_right():
    right = read(sizes={"coronal_width_mm": 3.75})
    wrong = read(sizes={"coronal_width_mm": 3.3})
    assert right.odds > 3 * wrong.odds
    assert wrong.lookalikes[0][1] == OTHER_SIZE


def test_what_was_taken_from_the_claim_weighs_nothing():
    doctored = FINE_ITEMS | {"coronal_width_mm": film(4.9, 0.02)}
    without = {key: item for key, item in FINE_ITEMS.items() if key != "coronal_width_mm"}
    assumed = read(items=doctored, assumed=("coronal_width_mm",))
    assert assumed.odds == pytest.approx(read(items=without).odds)


def test_evidence_from_the_bench_counts():
    before = read(items={}).odds
    assert read(items={"index": said("present", by="bench")}).odds > before


def test_look_alikes_and_what_would_settle_it_are_named():
    answer = read(items={"taper_deg": film(0.0, 0.1)})
    assert {key for key, _, _ in answer.lookalikes} >= {"smooth_cylinder"}
    assert CLAIMED not in {key for key, _, _ in answer.lookalikes}
    assert answer.settle.endswith("?")


def test_the_answer_says_that_it_confirms_nothing():
    data = read().to_json()
    assert data["caution"] == NOT_CONFIRMED
    assert data["word"] in data["sentence"]


def test_a_family_that_is_not_in_the_notes_is_refused():
    with pytest.raises(BadInput, match="no family 'unheard_of'"):
        read("unheard_of")


def test_a_size_that_is_no_length_is_refused():
    with pytest.raises(BadInput, match="'vents' is no number"):
        read(sizes={"vents": 1.0})
