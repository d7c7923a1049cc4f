"""How far a case is confirmed, followed through every page, window and change of implant."""

from __future__ import annotations

import pytest

from features.marks import load_marks
from identify.confirmation import REFUTED, TRIAL_WORDS
from identify.ranking import NOT_CONFIRMED
from identify.screens import as_kept, marking, on_table, plan_facts, session
from tests.app.steps import (
    case_of,
    choose,
    confirm,
    go,
    html_of,
    open_own_film,
    press,
    titles,
)


def first_title():
    return next(iter(titles().values()))


def pages(app):
    return " ".join(part.proto.srcdoc for part in app.get("iframe"))


def with_second_implant(app):
    """The first implant's marks twice over: two implants, both in place."""
    case = case_of(app)
    draft = marking.with_second_implant(case.draft, case.film.width, case.film.height)
    first, second = draft["implants"]
    moved = {"platform_px": first["platform_px"], "apex_px": first["apex_px"], "tooth": "37"}
    case.redraw(draft | {"implants": [first, second | moved]})
    case.accept_places()
    app.run()
    return case


def test_taking_over_another_windows_case_leaves_the_own_confirmation_behind(app, book):
    case = open_own_film(app)
    marked = load_marks(
        next(iter(on_table.demo_films().values())).with_suffix(".marks.json"),
        width=case.film.width,
        height=case.film.height,
    )
    case.edit(marking.draft_from(marked))
    case.accept_places()
    app.run()
    (saved,) = book.find()
    theirs = saved.case.model_copy(update={"notes": "theirs"})
    book.save(saved.key, theirs, "notes changed", after=saved.step.number)
    confirm(app, first_title())
    assert "changed in another window" in app.warning[0].value
    press(app, "Take over what is saved")
    app.run()
    assert case_of(app).remarks == "theirs"
    assert NOT_CONFIRMED in html_of(app)
    assert book.load(saved.key).case.standing == {}


def test_an_implant_put_in_place_of_a_removed_one_inherits_nothing_and_undo_brings_all_back(app):
    case = with_second_implant(app)
    confirm(app, first_title())
    assert "A" in case.standing
    facts = dict(case.facts)
    case.remove_implant("A")
    case.redraw(marking.with_second_implant(case.draft, case.film.width, case.film.height))
    assert set(case.labels) == {"A", "B"}
    assert case.standing == {}
    assert not [key for key in case.facts if "A" in key.split()]
    case.undo()
    case.undo()
    assert "A" in case.standing
    assert case.facts == facts


@pytest.mark.parametrize("kind", ["trial", "record"])
def test_a_part_that_binds_outweighs_any_confirmation_and_the_record_says_so(app, kind):
    confirm(app, first_title(), kind)
    go(app, "families")
    choose(app, "A trial part", "binds")
    assert NOT_CONFIRMED in html_of(app)
    go(app, "record")
    assert NOT_CONFIRMED in html_of(app)
    assert TRIAL_WORDS["binds"] in pages(app)


def test_a_refuted_case_says_so_on_its_pages_and_plans_nothing(app):
    confirm(app, first_title())
    assert REFUTED not in pages(app)
    go(app, "cases")
    next(box for box in app.checkbox if box.label == "Refuted").check().run()
    go(app, "record")
    assert REFUTED in pages(app)
    assert "carry no plan" in html_of(app)


def test_two_implants_of_two_families_are_planned_as_what_they_are(app, monkeypatch):
    seen = []
    plain = plan_facts.planning_case
    monkeypatch.setattr(
        plan_facts, "planning_case", lambda *a, **more: seen.append(plain(*a, **more)) or seen[-1]
    )
    case = with_second_implant(app)
    families = session.load_notes().families
    case.confirmed["A"] = ("record", families["external_hex_parallel"].title)
    case.facts["family B"] = "tissue_level_cone"
    case.chosen = "B"
    go(app, "restore")
    first, second = seen[-1].implants
    assert seen[-1].family == "tissue_level_cone"
    assert (first.family, first.confirmed) == ("external_hex_parallel", "record")
    assert second.family is None


def test_a_way_is_chosen_for_one_family_and_waits_while_another_is_looked_at(app):
    go(app, "restore")
    order = next(box for box in app.selectbox if box.label == "Family").options
    keys = {family.title: key for key, family in session.load_notes().families.items()}
    next(b for b in app.selectbox if b.label.startswith("The way chosen")).select_index(0).run()
    chosen = next(b for b in app.selectbox if b.label.startswith("The way chosen")).value
    choose(app, "Family", keys[order[1]])
    assert next(b for b in app.selectbox if b.label.startswith("The way chosen")).value is None
    choose(app, "Family", keys[order[0]])
    assert next(b for b in app.selectbox if b.label.startswith("The way chosen")).value == chosen


def test_a_case_of_two_implants_is_kept_as_confirmed_no_farther_than_the_lesser(app):
    case = with_second_implant(app)
    case.confirmed["A"] = ("record", first_title())
    assert as_kept._status(case) == "open"
    case.confirmed["B"] = ("trial", first_title())
    assert as_kept._status(case) == "trial"
