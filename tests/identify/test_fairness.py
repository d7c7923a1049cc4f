"""On the real notes: what a family expects never lowers it, and no order changes anything."""

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from identify.evidence import Evidence, Item
from identify.hypotheses import answer_under, states_under, telling_states
from identify.knowledge import load_notes
from identify.weigh import find_weights, weigh

NOTES = load_notes()
CHECKLIST = NOTES.checklist
STATES = [key for key, entry in CHECKLIST.items.items() if not entry.is_number]
FREE = [key for key in STATES if not CHECKLIST.items[key].together]
BY = {"eye": "eye", "mouth": "mouth", "bench": "bench", "known": "known"}


def expected_answer(key, family, by, sure):
    """The answer this family foretells most beyond what is usual, and how sure it comes."""
    entry = CHECKLIST.items[key]
    table, base = states_under(entry, {family: NOTES.families[family]})
    bands = entry.reader.sure_from if entry.reader and by == "film" else ()

    def beyond_what_is_usual(item):
        said = answer_under(item, entry)
        return (table[0] @ said) / (base @ said)

    answers = [
        Item(state=state, probability=chance, by=by)
        for state in telling_states(entry)
        for chance in {max(sure, 1.0 / len(telling_states(entry))), *bands}
    ]
    return max(answers, key=beyond_what_is_usual)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    family=st.sampled_from(sorted(NOTES.families)),
    keys=st.lists(st.sampled_from(FREE), min_size=1, max_size=4, unique=True),
    sure=st.floats(0.55, 1.0),
    by=st.sampled_from(["eye", "film"]),
)
def test_an_item_answered_as_a_family_expects_never_lowers_it(family, keys, sure, by):
    items = {}
    before = 0.0
    for key in keys:
        items[key] = expected_answer(key, family, by, sure)
        weights = find_weights(Evidence(items=dict(items)), NOTES)
        now = float(weights.totals[weights.hypotheses.index(family)])
        assert now >= before - 1e-9
        before = now


@pytest.mark.parametrize("seed", range(4))
def test_shuffling_items_or_notes_changes_nothing(seed):
    rng = random.Random(seed)  # noqa: S311 - an order, no secret
    items = {
        key: Item(state=CHECKLIST.items[key].states[0], probability=0.9, by="eye") for key in STATES
    } | {"taper_deg": Item(value=1.0, std_local=0.3, by="film")}
    keys, families = list(items), list(NOTES.families)
    first = weigh(Evidence(items=items), NOTES).to_json()
    rng.shuffle(keys)
    rng.shuffle(families)
    turned = NOTES.model_copy(update={"families": {key: NOTES.families[key] for key in families}})
    again = weigh(Evidence(items={key: items[key] for key in keys}), turned).to_json()
    assert again == first


def test_the_practices_own_frequencies_move_probabilities_and_no_points():
    given_items = Evidence(items={"threads": Item(state="present", by="eye")})
    flat = weigh(given_items, NOTES)
    shares = dict.fromkeys(NOTES.families, 1.0) | {"tissue_level_cone": 10.0}
    own = weigh(given_items, NOTES, shares=shares)
    key = "tissue_level_cone"
    assert own.find(key).points == flat.find(key).points
    assert own.find(key).probability > 3 * flat.find(key).probability
    assert own.none_of_these == pytest.approx(flat.none_of_these, rel=0.2)
