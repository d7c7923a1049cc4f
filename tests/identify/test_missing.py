"""What is missing of a family: worked out by hand, and gone once it is known."""

import numpy as np
import pytest

from identify.evidence import Evidence, Item, SetAside
from identify.knowledge import load_notes
from identify.missing import NOT_LOOKED_AT, missing
from tests.identify.small_notes import FINE, family, notes, number, states

NOTES = load_notes()


def found(key, evidence, known):
    return {one.item: one for one in missing(key, evidence, known)}


def test_expected_points_are_the_mean_over_the_familys_own_answers():
    # vents 0.2 : 0.8 broadly; here 0.9 : 0.1, with the floor of 0.5 % of the broad shares
    one = family("one", "cone", {"vents": states(present=0.9, absent=0.1)})
    here = 0.995 * np.array([0.9, 0.1]) + 0.005 * np.array([0.2, 0.8])
    by_hand = 10 * here @ np.log10(here / np.array([0.2, 0.8]))
    assert found("one", Evidence(), notes(one))["vents"].points == pytest.approx(by_hand)


def test_a_narrow_range_within_a_wide_one_is_worth_the_ratio_of_the_two():
    # the narrow range lies where the wide one is flat: mass of a range = width + 2.507 edge
    one = family("one", "cone", {"length_mm": number(8.0, 16.0, 0.01)})
    share = (8 + 2.5066 * 0.01) / (14 + 2.5066 * 3)
    inside = 0.995 + 0.005 * share
    by_hand = 10 * (inside * np.log10(inside / share) + (1 - inside) * np.log10(0.005))
    points = found("one", Evidence(), notes(one))["length_mm"].points
    assert points == pytest.approx(by_hand, abs=0.05)  # the bins at its two ends


def test_what_was_seen_is_not_missing_and_what_was_set_aside_keeps_its_reason():
    items = {"thread_pitch_mm": Item(value=0.65, std_local=0.01, by="bench")}
    aside = {"taper_deg": SetAside(reason="burnt out")}
    left = found(FINE.key, Evidence(items=items, set_aside=aside), notes())
    assert "thread_pitch_mm" not in left
    assert left["taper_deg"].reason == "burnt out"
    assert left["length_mm"].reason == NOT_LOOKED_AT


def test_an_answer_of_a_part_leaves_the_item_missing():
    items = {"index_side": Item(state="outside", by="mouth", on="part")}
    left = found("external_hex_parallel", Evidence(items=items), NOTES)
    assert "part screwed to" in left["index_side"].reason


def test_the_most_telling_stands_first_and_what_tells_nothing_is_left_out():
    found_here = missing("tri_channel", Evidence(), NOTES)
    points = [one.points for one in found_here]
    assert points == sorted(points, reverse=True)
    assert min(points) >= 1.0
    items = [one.item for one in found_here]
    assert items.index("index_shape") < items.index("year_placed")
    assert "vents" not in items


def test_of_none_of_these_nothing_is_missing():
    assert missing("none_of_these", Evidence(), NOTES) == ()
