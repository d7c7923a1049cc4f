"""Answers on the screens: whose they are, of the implant or of a part, and what cannot be told."""

import pytest

from identify.evidence import Item
from identify.lending import PLACED_WITH
from identify.screens import marking
from tests.app.steps import case_of, go, html_of, press


def answered(app, key):
    return case_of(app).answers["A"][key]


def where(app, key):
    return app.button_group(key=f"answer_findings_A_{key}_on")


@pytest.mark.parametrize("key", ["screw_pitch_mm", "platform_width_mm", "bore_width_mm"])
def test_a_number_by_hand_asks_whether_it_is_of_the_implant(app, key):
    go(app, "findings")
    app.number_input(key=f"answer_findings_A_{key}").set_value(0.4).run()
    assert answered(app, key).on == "implant"
    where(app, key).set_value("part").run()
    assert not app.exception
    assert (answered(app, key).value, answered(app, key).on) == (0.4, "part")
    assert "part screwed to the implant" in html_of(app)


def test_what_is_seen_from_above_may_be_of_an_impression_or_not_to_be_told(app):
    go(app, "findings")
    app.button_group(key="answer_findings_A_index").set_value("present").run()
    where(app, "index").set_value("copy").run()
    assert (answered(app, "index").by, answered(app, "index").on) == ("bench", "implant")
    where(app, "index").set_value("can't tell").run()
    assert (answered(app, "index").by, answered(app, "index").on) == ("mouth", "can't tell")


def test_a_number_that_cannot_be_told_is_kept_as_that_and_taken_back(app):
    go(app, "findings")
    box = "answer_findings_A_screw_pitch_mm_unsure"
    app.checkbox(key=box).check().run()
    assert answered(app, "screw_pitch_mm").state == "can't tell"
    app.checkbox(key=box).uncheck().run()
    assert "screw_pitch_mm" not in case_of(app).answers["A"]


def test_what_is_looked_at_on_the_film_is_not_asked_of_a_part(app):
    go(app, "findings")
    app.button_group(key="answer_findings_A_vents").set_value("absent").run()
    assert "answer_findings_A_vents_on" not in [group.key for group in app.button_group]


def with_a_second_implant(app):
    press(app, "Add a second implant")
    case = case_of(app)
    points = dict(marking.points_of(case.draft))
    near = [points[name] for name in marking.implant_ids("A")]
    for name, (x, y) in zip(marking.implant_ids("B"), near, strict=True):
        points[name] = [x + 3.0, y + 3.0]
        case.move(points, name)
    case.chosen = "A"
    return go(app, "findings")


def test_an_implant_alone_is_not_asked_what_it_was_placed_with(app):
    go(app, "findings")
    assert "placed with A" not in [group.key for group in app.button_group]


def test_another_implant_lends_weight_only_once_somebody_says_so(app):
    with_a_second_implant(app)
    before = html_of(go(app, "families"))
    assert "Placed together" not in before
    go(app, "findings")
    app.button_group(key="placed with A").set_value("B").run()
    assert not app.exception
    item = answered(app, PLACED_WITH)
    assert (item.by, item.beside, item.note) == ("known", "B", "the patient")
    assert sum(item.lends.values()) == pytest.approx(1.0, abs=1e-3)
    app.selectbox(key="placed with A by").set_value("a card or record").run()
    after = html_of(go(app, "families"))
    assert "Placed together with implant B (a card or record)" in after


def test_what_is_lent_follows_what_is_seen_of_the_other_since(app):
    with_a_second_implant(app)
    app.button_group(key="placed with A").set_value("B").run()
    before = dict(answered(app, PLACED_WITH).lends)
    case_of(app).answer("B", "index_shape", Item(state="three lobes", by="mouth"))
    go(app, "families")
    after = answered(app, PLACED_WITH).lends
    assert after["tri_channel"] > before["tri_channel"]
