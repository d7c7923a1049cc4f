import pytest

from identify.confirmation import LADDER, NEXT, standing
from identify.evidence import Evidence, Item
from identify.knowledge import load_notes
from identify.ranking import NOT_CONFIRMED

NOTES = load_notes()


def seen(by, on="implant", state="present"):
    return Evidence(items={"index": Item(state=state, by=by, on=on)})


@pytest.mark.parametrize(
    ("evidence", "rung"),
    [
        (Evidence(), "film_only"),
        (Evidence(items={"threads": Item(state="present", by="eye")}), "film_only"),
        (seen("mouth"), "connection_seen"),
        (seen("mouth", on="part"), "film_only"),
        (seen("mouth", state="can't tell"), "film_only"),
        (seen("bench"), "bench"),
    ],
)
def test_evidence_alone_reaches_the_bench_at_most(evidence, rung):
    found = standing(evidence, NOTES)
    assert found.rung == rung
    assert found.caution == NOT_CONFIRMED


def test_a_trial_part_seated_and_filmed_confirms():
    found = standing(Evidence(), NOTES, trial="seated and filmed")
    assert (found.rung, found.caution) == ("trial", "")


def test_a_record_confirms():
    assert not standing(Evidence(), NOTES, record=True).caution


def test_turning_freely_proves_nothing():
    found = standing(seen("mouth"), NOTES, trial="turns freely")
    assert (found.rung, found.caution, found.refuted) == ("connection_seen", NOT_CONFIRMED, False)
    assert "proves nothing" in found.remark


def test_binding_refutes_even_a_record():
    found = standing(Evidence(), NOTES, trial="binds", record=True)
    assert found.refuted
    assert found.caution == NOT_CONFIRMED


def test_every_rung_is_that_of_the_rules_and_says_what_comes_next():
    assert set(LADDER) == set(NOTES.rules.confirmation) == set(NEXT)
    assert [rung for rung in LADDER if not NEXT[rung]] == ["record"]
