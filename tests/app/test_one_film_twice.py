"""One film opened twice, two windows on one case, and what must not leak from one to the other."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from identify.ranking import NOT_CONFIRMED
from identify.screens import plan_view
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


def photo():
    store = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(store, "PNG")
    return store.getvalue()


def uploader(app, label):
    return next(box for box in app.file_uploader if box.label == label)


def test_a_film_opened_again_comes_back_with_its_work_in_one_case(app, book):
    case = open_own_film(app)
    case.remarks = "mine"
    app.run()
    open_own_film(app, "other name.png")
    assert case_of(app).remarks == "mine"
    assert len(book.find()) == 1
    assert "worked on before" in app.info[0].value
    press(app, "Start a new case with it")
    assert case_of(app).remarks == ""
    assert len(book.find()) == 2


def test_two_cases_of_one_film_are_told_apart_in_the_lists(app, book):
    open_own_film(app)
    open_own_film(app)
    press(app, "Start a new case with it")
    offered = next(box for box in app.selectbox if box.label == "On the table").options
    assert len(set(offered)) == len(offered)
    go(app, "cases")
    assert html_of(app).count("begun") == 2


def test_the_handles_of_an_earlier_case_of_the_same_film_move_nothing(app):
    first = open_own_film(app)
    earlier = first.revision
    open_own_film(app)
    press(app, "Start a new case with it")
    assert case_of(app).film.sha256 == first.film.sha256
    assert case_of(app).revision != earlier


def test_what_is_typed_of_a_case_is_shown_as_it_was_after_going_back(app, book):
    case = open_own_film(app)
    for name in ("first", "second"):
        case.pseudonym = name
        app.run()
    go(app, "cases")
    choose(app, "Step", 2)
    press(app, "Go back to this step")
    shown = next(box for box in app.text_input if box.label == "Pseudonym").value
    assert shown == case_of(app).pseudonym == "first"


def test_going_back_after_another_window_saved_is_a_sentence(app, book):
    case = open_own_film(app)
    case.remarks = "second"
    app.run()
    go(app, "cases")
    choose(app, "Step", 1)
    (saved,) = book.find()
    theirs = saved.case.model_copy(update={"notes": "theirs"})
    book.save(saved.key, theirs, "notes changed", after=saved.step.number)
    press(app, "Go back to this step")
    assert "changed in another window" in app.warning[0].value
    assert book.load(saved.key).case.notes == "theirs"


def test_a_case_deleted_in_another_window_can_be_saved_as_a_new_one(app, book):
    case = open_own_film(app)
    (saved,) = book.find()
    book.delete(saved.key)
    case.remarks = "mine"
    app.run()
    app.run()
    assert "deleted in another window" in app.warning[0].value
    assert "Take over what is saved" not in [button.label for button in app.button]
    press(app, "Save as a new case")
    assert [found.case.notes for found in book.find()] == ["mine"]


def test_taking_over_what_was_deleted_meanwhile_is_a_sentence(app, book):
    case = open_own_film(app)
    (saved,) = book.find()
    book.save(saved.key, saved.case.model_copy(update={"notes": "theirs"}), "x", after=1)
    case.remarks = "mine"
    app.run()
    app.run()
    book.delete(saved.key)
    press(app, "Take over what is saved")
    assert "deleted in another window" in app.warning[0].value
    assert case_of(app).remarks == "mine"


def test_one_photograph_given_twice_is_kept_once(app, book):
    open_own_film(app)
    go(app, "cases")
    for _ in range(2):
        uploader(app, "A photograph").set_value(("p.png", photo(), "image/png")).run()
        assert not app.exception, app.exception
    assert len(case_of(app).photos) == 1


@pytest.mark.parametrize(
    ("label", "name"), [("A photograph", "p.png"), ("Case file (zip)", "p.zip")]
)
def test_a_refused_file_can_be_taken_out_of_the_box_again(app, label, name):
    go(app, "cases")
    uploader(app, label).set_value((name, b"neither", "")).run()
    assert app.error
    uploader(app, label).set_value(None).run()
    assert not app.exception, app.exception


def test_a_family_looked_at_on_one_film_is_not_carried_to_the_next(app):
    go(app, "restore")
    order = next(box for box in app.selectbox if box.label == "Family").options
    last = next(key for key, title in titles().items() if title == order[-1])
    choose(app, "Family", last)
    go(app, "film")
    choose(app, "On the table", "Demo film 2")
    go(app, "restore")
    assert next(box for box in app.selectbox if box.label == "Family").value != last


def test_the_record_carries_the_plan_of_the_family_confirmed(app, monkeypatch):
    planned = []
    plain = plan_view.plan_lines
    monkeypatch.setattr(plan_view, "plan_lines", lambda p, way: planned.append(p) or plain(p, way))
    go(app, "restore")
    order = next(box for box in app.selectbox if box.label == "Family").options
    keys = {title: key for key, title in titles().items()}
    choose(app, "Family", keys[order[1]])
    confirm(app, order[0])
    assert planned[-1].title == order[0]


def test_a_refuted_case_is_not_confirmed_anywhere(app):
    confirm(app, next(iter(titles().values())))
    assert NOT_CONFIRMED not in html_of(app)
    go(app, "cases")
    next(box for box in app.checkbox if box.label == "Refuted").check().run()
    for name in ("cases", "film", "families", "record"):
        go(app, name)
        assert NOT_CONFIRMED in html_of(app)
    assert NOT_CONFIRMED in " ".join(part.proto.srcdoc for part in app.get("iframe"))


@pytest.mark.parametrize("name", ["film", "cases"])
def test_an_unmarked_film_is_not_confirmed_either(app, name):
    open_own_film(app)
    go(app, name)
    assert NOT_CONFIRMED in html_of(app)


def test_a_second_films_name_is_not_kept(app, tmp_path):
    open_own_film(app, "Musterfrau_Erika.png")
    other = case_of(app).key
    go(app, "film")
    choose(app, "On the table", "Demo film 2")
    go(app, "second_reading")
    choose(app, "Claimed family", next(iter(titles().values())))
    choose(app, "Another film of the same implant", other)
    app.run()
    kept = b"".join(path.read_bytes() for path in tmp_path.rglob("*") if path.is_file())
    assert kept
    assert b"Musterfrau" not in kept


def test_two_films_of_two_implants_are_doubted(app):
    go(app, "second_reading")
    choose(app, "Claimed family", next(iter(titles().values())))
    choose(app, "Another film of the same implant", "Demo film 3")
    assert "may be two implants" in " ".join(box.value for box in app.warning)


def test_a_part_seated_on_families_is_half_a_confirmation_and_the_record_asks_for_the_rest(app):
    go(app, "families")
    choose(app, "A trial part", "seated and filmed")
    assert NOT_CONFIRMED in html_of(app)
    go(app, "record")
    assert next(box for box in app.selectbox if box.label == "By").value == "trial"
    choose(app, "As", next(iter(titles().values())))
    assert NOT_CONFIRMED not in html_of(app)


@pytest.mark.parametrize("attempt", ["turns freely", "binds"])
def test_a_trial_that_proved_nothing_confirms_nothing(app, attempt):
    go(app, "families")
    choose(app, "A trial part", attempt)
    confirm(app, next(iter(titles().values())))
    assert NOT_CONFIRMED in html_of(app)
    assert attempt in app.warning[0].value


def test_the_way_chosen_goes_with_the_case_to_the_record(app, monkeypatch):
    lined = []
    plain = plan_view.plan_lines
    monkeypatch.setattr(plan_view, "plan_lines", lambda *a: lined.append(plain(*a)) or lined[-1])
    go(app, "restore")
    box = next(box for box in app.selectbox if box.label.startswith("The way chosen"))
    box.select_index(0).run()
    go(app, "record")
    assert lined[-1]["chosen"]
    assert box.options[0].startswith(lined[-1]["chosen"])
