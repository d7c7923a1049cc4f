import json

import pytest

from features.finding import Finding, Form
from features.input_file import BadInput
from features.quantity import Measured, NotMeasured
from features.reading import ImplantReading, Reading
from features.scale import Scale
from identify.evidence import (
    DEFAULT_STD,
    UNDECIDED,
    Evidence,
    Item,
    check_evidence,
    connection_seen,
    item_std,
    load_evidence,
    silent_items,
    telling_items,
)
from identify.gathering import gather
from identify.knowledge import load_notes
from tests.identify.small_notes import CHECKLIST

NOTES = load_notes()


def reading(measures=None, forms=None, findings=None, scale=None, label="A"):
    implant = ImplantReading(
        label=label,
        tooth="36",
        measures=measures or {},
        forms=forms or {},
        findings=findings or {},
    )
    ball = Scale(Measured(0.02, 0.0001, "mm/px"), "ball", "from the ball")
    return Reading("0" * 64, 100, 100, scale or ball, (implant,))


def gathered(answers=None, **given):
    return gather(reading(**given), "A", answers or {}, CHECKLIST)


def test_the_films_numbers_become_items_with_their_own_part_of_the_uncertainty():
    evidence = gathered(measures={"thread_pitch_mm": Measured(0.61, 0.01, "mm", std_scale=0.05)})
    assert evidence.items["thread_pitch_mm"] == Item(value=0.61, std_local=0.01, by="film")
    assert evidence.scale.kind == "ball"
    assert evidence.scale.rel_std == pytest.approx(0.005)


def test_what_could_not_be_measured_keeps_its_reason():
    evidence = gathered(
        measures={"thread_pitch_mm": NotMeasured("2 crests visible; a pitch needs 3")},
        findings={"vents": Finding("not assessable", 1.0, "covered by a crown")},
        forms={"apex_form": Form("not assessable", 1.0, "outside the film")},
    )
    assert not evidence.items
    assert silent_items(evidence, CHECKLIST) == {
        "apex_form": "outside the film",
        "thread_pitch_mm": "2 crests visible; a pitch needs 3",
        "vents": "covered by a crown",
    }


def test_a_measure_that_is_no_item_of_the_checklist_is_no_evidence():
    evidence = gathered(measures={"crest_mesial_mm": Measured(1.0, 0.1, "mm")})
    assert not evidence.items
    assert not evidence.set_aside


def test_the_measure_that_set_the_scale_is_set_aside():
    scale = Scale(
        Measured(0.02, 0.0001, "mm/px"), "implant_length", "from the length", ("A", "length_mm")
    )
    evidence = gathered(measures={"length_mm": Measured(10.0, 0.01, "mm")}, scale=scale)
    assert "length_mm" not in evidence.items
    assert "set the scale" in evidence.set_aside["length_mm"].reason
    assert evidence.set_aside["length_mm"].item.value == 10.0


def test_another_implants_length_is_weighed_though_one_set_the_scale():
    scale = Scale(
        Measured(0.02, 0.0001, "mm/px"), "implant_length", "from the length", ("B", "length_mm")
    )
    evidence = gathered(measures={"length_mm": Measured(10.0, 0.01, "mm")}, scale=scale)
    assert "length_mm" in evidence.items


@pytest.mark.parametrize("by", ["eye", "mouth"])
def test_a_persons_answer_wins_and_the_films_is_kept(by):
    answer = Item(state="present", by=by)
    evidence = gathered({"vents": answer}, findings={"vents": Finding("absent", 0.8)})
    assert evidence.items["vents"] == answer
    assert evidence.set_aside["vents"].item == Item(state="absent", probability=0.8, by="film")
    assert f"the answer by {by} counts instead" in evidence.set_aside["vents"].reason


def test_a_persons_answer_replaces_the_films_not_assessable():
    answer = Item(state="present", by="eye")
    evidence = gathered(
        {"vents": answer}, findings={"vents": Finding("not assessable", 1.0, "dim")}
    )
    assert evidence.items == {"vents": answer}
    assert not evidence.set_aside


def test_cannot_tell_leaves_the_films_reading_in_place():
    unsure = Item(state="can't tell", by="eye")
    evidence = gathered({"vents": unsure}, findings={"vents": Finding("absent", 0.8)})
    assert evidence.items["vents"].by == "film"


def test_cannot_tell_alone_weighs_nothing_and_is_listed():
    evidence = gathered({"vents": Item(state="can't tell", by="eye")})
    assert "vents" not in telling_items(evidence, CHECKLIST)
    assert "vents" in silent_items(evidence, CHECKLIST)


def test_what_is_seen_in_the_mouth_on_a_part_says_nothing_of_the_implant():
    evidence = Evidence(items={"index": Item(state="present", by="mouth", on="part")})
    assert not telling_items(evidence, CHECKLIST)
    assert "part screwed to the implant" in silent_items(evidence, CHECKLIST)["index"]


def test_without_a_scale_the_ratios_are_the_items():
    none = Scale(NotMeasured("nothing of known size is on the film"), "none", "no scale")
    evidence = gathered(
        measures={
            "pitch_to_width": Measured(0.16, 0.002),
            "thread_pitch_mm": NotMeasured("no scale"),
            "thread_pitch_px": Measured(30.0, 0.2, "px"),
        },
        scale=none,
    )
    assert set(evidence.items) == {"pitch_to_width"}
    assert evidence.scale.kind == "none"


def test_a_scale_that_could_not_be_had_leaves_ratios():
    lost = Scale(NotMeasured("the ball's edge was not found"), "ball", "")
    evidence = gathered(measures={"pitch_to_width": Measured(0.16, 0.002)}, scale=lost)
    assert evidence.scale.kind == "none"
    assert "pitch_to_width" in evidence.items


def test_an_unknown_label_is_refused():
    with pytest.raises(BadInput, match="no implant 'B' was marked on this film; use one of A"):
        gather(reading(), "B", {}, CHECKLIST)


def test_evidence_survives_a_round_trip_through_its_file(tmp_path):
    evidence = gathered(
        {"index": Item(state="present", by="mouth", note="seen from above")},
        measures={"taper_deg": Measured(0.2, 0.1, "deg"), "length_mm": NotMeasured("no apex")},
    )
    path = tmp_path / "evidence.json"
    path.write_text(json.dumps(evidence.to_json()), encoding="utf-8")
    assert load_evidence(path) == evidence


GOOD = {"state": "present", "by": "eye"}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"items": {"vents": GOOD | {"certainty": 1}}}, "'items.vents.certainty' is not a known"),
        ({"item": {}}, "'item' is not a known entry"),
        ({"items": {"vents": {"state": "present"}}}, "'items.vents.by' is missing"),
        ({"items": {"vents": GOOD | {"by": "guess"}}}, "'items.vents.by'"),
        ({"items": {"vents": GOOD | {"value": 1.0}}}, "either a 'value' or a 'state'"),
        ({"items": {"vents": {"by": "eye"}}}, "either a 'value' or a 'state'"),
        ({"items": {"vents": GOOD | {"probability": 0}}}, "'items.vents.probability'"),
        ({"items": {"vents": GOOD | {"probability": 1.2}}}, "'items.vents.probability'"),
        (
            {"items": {"taper_deg": {"value": 1, "std_local": -1, "by": "eye"}}},
            "'items.taper_deg.std_local'",
        ),
        ({"scale": {"kind": "ball"}}, "'rel_std' is missing"),
        ({"radiofixture": "evidence/2"}, "'radiofixture'"),
    ],
)
def test_a_bad_evidence_file_is_refused_in_one_sentence(tmp_path, data, says):
    path = tmp_path / "evidence.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(BadInput) as refused:
        load_evidence(path)
    assert says in str(refused.value)
    assert str(path) in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("text", ['{"items": {"taper_deg": {"value": NaN, "by": "eye"}}}'])
def test_a_number_that_is_none_is_refused(tmp_path, text):
    path = tmp_path / "evidence.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match="taper_deg"):
        load_evidence(path)


BALL = {"kind": "ball", "rel_std": 0.01}


@pytest.mark.parametrize(
    ("scale", "items", "says"),
    [
        (BALL, {"vent": GOOD}, "'vent' is not an item of the checklist; did you mean 'vents'?"),
        (BALL, {"zzz": GOOD}, "see FORMAT.md"),
        (BALL, {"taper_deg": GOOD}, "'taper_deg' is a number; give a 'value' in deg"),
        (BALL, {"vents": {"value": 1, "by": "eye"}}, "has no number; give a 'state'"),
        (BALL, {"vents": GOOD | {"state": "some"}}, "cannot be 'some'; use one of present, absent"),
        (BALL, {"pitch_to_width": {"value": 0.1, "by": "film"}}, "for films without a scale"),
        (
            {"kind": "none"},
            {"length_mm": {"value": 10, "by": "film"}},
            "was read off a film that has no scale",
        ),
        (
            {"kind": "none"},
            {"pitch_to_width": {"value": 0.1, "by": "bench"}},
            "give 'thread_pitch_mm' in mm instead",
        ),
    ],
)
def test_evidence_that_does_not_fit_the_checklist_is_refused(scale, items, says):
    evidence = Evidence.model_validate({"scale": scale, "items": items})
    with pytest.raises(BadInput) as refused:
        check_evidence(evidence, CHECKLIST, "evidence.json")
    assert says in str(refused.value)
    assert str(refused.value).startswith("evidence.json: ")


def test_a_calliper_needs_no_film_scale():
    by_hand = Item(value=4.1, std_local=0.05, by="bench")
    check_evidence(Evidence(items={"coronal_width_mm": by_hand}), CHECKLIST)


def test_the_words_that_weigh_nothing_are_those_of_the_checklist():
    assert set(NOTES.checklist.not_assessable) == UNDECIDED


@pytest.mark.parametrize("by", ["mouth", "bench"])
@pytest.mark.parametrize("on", ["part", "can't tell"])
def test_what_is_of_a_part_or_may_be_weighs_nothing_by_whomever(by, on):
    evidence = Evidence(items={"index": Item(state="present", by=by, on=on)})
    assert not telling_items(evidence, CHECKLIST)
    assert "part screwed to" in silent_items(evidence, CHECKLIST)["index"]


def test_a_number_that_cannot_be_told_is_an_answer_that_weighs_nothing():
    unsure = Item(state="can't tell", by="bench")
    evidence = Evidence(items={"coronal_width_mm": unsure})
    check_evidence(evidence, CHECKLIST)
    assert not telling_items(evidence, CHECKLIST)


def test_a_number_by_hand_is_as_sure_as_its_gauge():
    pitch = NOTES.checklist.items["screw_pitch_mm"]
    assert item_std(Item(value=0.35, by="bench"), pitch) == pitch.by_hand_std.value
    assert item_std(Item(value=0.35, by="bench", std_local=0.02), pitch) == 0.02
    assert item_std(Item(value=0.35, by="known"), pitch) == DEFAULT_STD["length"]


def test_a_screw_or_a_driver_is_not_the_connection_seen():
    driver = {"driver": Item(state="square", by="mouth")}
    assert not connection_seen(driver, NOTES.checklist)
    seen = {"index": Item(state="present", by="mouth")}
    assert connection_seen(driver | seen, NOTES.checklist)
