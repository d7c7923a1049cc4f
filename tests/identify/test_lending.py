"""What an implant placed together with this one lends it: by hand, bounded, and never unasked."""

import numpy as np
import pytest

from features.input_file import BadInput
from identify.evidence import Evidence, Item, check_evidence
from identify.knowledge import load_notes
from identify.lending import PLACED_WITH, lends_of, lent_points, without_lent
from identify.ranking import NONE_OF_THESE, NOT_AN_IMPLANT
from identify.second_reading import Claim, second_reading
from identify.weigh import weigh

NOTES = load_notes()
ENTRY = NOTES.checklist.items[PLACED_WITH]
CONE = "tissue_level_cone"


def beside(**lends):
    return Item(state="present", by="known", note="the patient", beside="B", lends=lends)


def weighed(item=None, **more):
    items = dict(more) | ({PLACED_WITH: item} if item else {})
    return weigh(Evidence(items=items), NOTES)


def test_points_are_those_worked_out_by_hand():
    # priors 0.4, 0.4 and a rival of 0.1; the other is "one" with 0.9; pairs alike in 0.8:
    # one: 0.2 + 0.8 * (0.9 / (0.4 / 0.9) + 0.1) = 1.9; the other two: 0.2 + 0.8 * 0.1 = 0.28
    prior = {"one": 0.4, "two": 0.4, NONE_OF_THESE: 0.1, NOT_AN_IMPLANT: 0.1}
    points = lent_points(beside(one=0.9), ENTRY, prior)
    assert points == pytest.approx(10 * np.log10([1.9, 0.28, 0.28, 1.0]))


def test_it_never_takes_more_than_the_share_of_unlike_pairs():
    other = weighed(beside(**{CONE: 1.0}))
    least = 10 * np.log10(1 - ENTRY.alike.value)
    for support in other.supports:
        assert support.points >= least - 1e-9


def test_what_is_not_known_of_the_other_moves_nothing():
    before, after = weighed(), weighed(beside(**lends_of(weighed())))
    for support in before.supports:
        assert after.find(support.key).probability == pytest.approx(support.probability, rel=1e-3)


def test_whether_it_is_an_implant_at_all_stays_as_it_was():
    after = weighed(beside(**{CONE: 0.9}))
    assert after.not_an_implant == pytest.approx(weighed().not_an_implant)


def test_it_is_a_row_that_says_who_said_so_and_what_the_other_is():
    row = next(r for r in weighed(beside(**{CONE: 0.9})).find(CONE).rows if r.item == PLACED_WITH)
    assert row.by == "known"
    assert row.points > 5
    for words in ("implant B", "the patient", "90 %", "80 %", "for it"):
        assert words in row.sentence


def test_without_a_word_on_it_or_with_a_no_nothing_is_lent():
    plain = weighed()
    for said in ("absent", "present", "can't tell"):
        told = weighed(Item(state=said, by="known"))
        assert told.find(CONE).points == plain.find(CONE).points


def test_lending_back_and_forth_adds_no_second_voice():
    index = Item(state="present", by="mouth")
    alone = Evidence(items={"index": index})
    lent = Evidence(items={"index": index, PLACED_WITH: beside(**{CONE: 0.9})})
    assert lends_of(weigh(without_lent(lent), NOTES)) == lends_of(weigh(alone, NOTES))


def test_a_claim_gets_what_its_family_is_lent():
    evidence = Evidence(items={PLACED_WITH: beside(**{CONE: 0.9})})
    claimed = second_reading(Claim(family=CONE), evidence, NOTES)
    assert claimed.share == pytest.approx(weigh(evidence, NOTES).find(CONE).probability)
    other = second_reading(Claim(family="external_spline"), evidence, NOTES)
    assert other.probability < 0.5 < claimed.probability


@pytest.mark.parametrize("key", ["no_such_family", NOT_AN_IMPLANT])
def test_an_unknown_family_is_refused_by_name(key):
    with pytest.raises(BadInput, match=key):
        weighed(beside(**{key: 0.5}))


def test_only_the_item_made_for_it_may_lend():
    items = {"index": Item(state="present", by="mouth", lends={CONE: 0.5})}
    with pytest.raises(BadInput, match=r"index.*lends"):
        check_evidence(Evidence(items=items), NOTES.checklist)
    with pytest.raises(ValueError, match="sum to 1"):
        beside(**{CONE: 0.7, "external_spline": 0.7})
