"""Closing the browser loses nothing: the app writes everything into the casebook as it is done."""

from __future__ import annotations

from pathlib import Path

import pytest

from identify.casebook import Casebook
from identify.screens import keeping, look, marking, on_table, session
from tests.app.steps import go, open_own_film, press, started

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def data(tmp_path):
    """Where the app keeps what is done (`casebook_of_its_own`)."""
    return tmp_path


def cases_page(app):
    return go(app, "cases")


def saved_elsewhere(data):
    """Another window saves a note on the one case there is."""
    (saved,) = Casebook(data).find()
    theirs = saved.case.model_copy(update={"notes": "theirs"})
    Casebook(data).save(saved.key, theirs, "notes changed", after=saved.step.number)
    return saved


def test_a_demo_film_nobody_touched_is_not_kept(app, data):
    app.run()
    assert Casebook(data).find() == ()


def test_an_own_film_is_kept_the_moment_it_is_opened(app, data):
    case = open_own_film(app)
    (saved,) = Casebook(data).find()
    assert saved.case.films[0].name == f"Film {case.film.sha256[:6]}"
    kept = Casebook(data).films.get(saved.case.films[0].film)
    assert (kept.pixels == case.film.pixels).all()


def test_a_film_is_encoded_once_however_often_the_app_runs(app, monkeypatch):
    encoded = []
    plain = keeping.keep
    monkeypatch.setattr(keeping, "keep", lambda film: encoded.append(film) or plain(film))
    case = open_own_film(app)
    for note in ("one", "two"):
        case.remarks = note
        app.run()
    assert len(encoded) == 1


def test_a_file_name_is_neither_kept_nor_printed(app, data):
    case = open_own_film(app, "Musterfrau_Erika.png")
    marks = on_table._marks_beside(next(iter(on_table.demo_films().values())), case.film)
    case.edit(marking.draft_from(marks))
    case.accept_places()
    app.run()
    app.switch_page(look.page("record")).run()
    assert not app.exception, app.exception
    shown = " ".join(part.proto.srcdoc for part in app.get("iframe"))
    assert f"Film {case.film.sha256[:6]}" in shown
    assert "Musterfrau" not in shown
    kept = b"".join(path.read_bytes() for path in data.rglob("*") if path.is_file())
    assert b"Musterfrau" not in kept


def test_a_drag_is_kept_and_named_in_the_history(app, data):
    case = open_own_film(app)
    case.move({**marking.points_of(case.draft), "A:apex": (50.0, 60.0)}, "A:apex")
    app.run()
    (saved,) = Casebook(data).find()
    assert saved.case.films[0].draft["implants"][0]["apex_px"] == [50.0, 60.0]
    assert saved.step.what == "marks changed"


def test_after_the_browser_was_closed_the_case_opens_as_it_was(app, data):
    case = open_own_film(app)
    case.draft = marking.with_entry(case.draft, "A", "tooth", "36")
    case.accept_places()
    case.pseudonym, case.remarks = "P 17", "ü, ç, 王"
    app.run()
    again = cases_page(started())
    press(again, "Open")
    back = again.session_state["case"]
    assert (back.draft, back.pending) == (case.draft, case.pending)
    assert (back.pseudonym, back.remarks) == ("P 17", "ü, ç, 王")
    assert (back.film.pixels == case.film.pixels).all()


def test_two_windows_are_told_and_can_choose(app, data):
    open_own_film(app)
    saved = saved_elsewhere(data)
    app.session_state["case"].remarks = "mine"
    app.run()
    app.run()
    assert "changed in another window" in app.warning[0].value
    assert Casebook(data).load(saved.key).case.notes == "theirs"
    press(app, "Save mine on top")
    assert Casebook(data).load(saved.key).case.notes == "mine"
    assert [Casebook(data).load(saved.key, n).case.notes for n in (1, 2)] == ["", "theirs"]


def test_what_the_other_window_saved_can_be_taken_over(app, data):
    open_own_film(app)
    saved_elsewhere(data)
    app.session_state["case"].remarks = "mine"
    app.run()
    app.run()
    press(app, "Take over what is saved")
    assert app.session_state["case"].remarks == "theirs"


def test_a_folder_that_cannot_be_written_is_said_and_the_work_goes_on(monkeypatch, tmp_path):
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("RADIOFIXTURE_DATA", str(tmp_path / "file"))
    app = started()
    open_own_film(app)
    app.run()
    assert "not being saved" in app.warning[0].value
    assert app.session_state["case"].name == "mine.png"


def test_a_case_is_found_and_deleted_only_after_a_second_word(app, data):
    open_own_film(app)
    cases_page(app)
    button = next(b for b in app.button if b.label == "Delete for good")
    assert button.disabled
    next(b for b in app.checkbox if "delete it" in b.label).check().run()
    press(app, "Delete for good")
    assert Casebook(data).find() == ()
    assert not Casebook(data).films.names()


def test_an_earlier_step_can_be_made_the_present_one(app, data):
    case = open_own_film(app)
    case.remarks = "second"
    app.run()
    cases_page(app)
    steps = next(box for box in app.selectbox if box.label == "Step")
    steps.set_value(1).run()
    press(app, "Go back to this step")
    assert app.session_state["case"].remarks == ""
    (saved,) = Casebook(data).find()
    assert saved.step.what == "back to step 1"


def test_what_was_answered_is_kept_with_the_case(app, data):
    case = open_own_film(app)
    marks = on_table._marks_beside(next(iter(on_table.demo_films().values())), case.film)
    case.edit(marking.draft_from(marks))
    case.accept_places()
    app.run()
    app.switch_page(look.page("families")).run()
    assert not app.exception
    (saved,) = Casebook(data).find()
    kept = Casebook(data).rankings(saved.key)
    assert kept[-1]["label"] == "A"
    assert any(version.startswith("notes ") for version in kept[-1]["versions"])


def test_what_confirmed_cases_taught_stands_beside_flat_only_when_asked_for(app, data):
    case = open_own_film(app)
    marks = on_table._marks_beside(next(iter(on_table.demo_films().values())), case.film)
    case.edit(marking.draft_from(marks))
    case.accept_places()
    app.switch_page(look.page("families")).run()
    title = session.notes().families["ceramic"].title
    case.confirmed["A"] = ("trial", title)
    app.run()
    cases_page(app)
    assert title in " ".join(part.proto.body for part in app.get("html"))
    next(t for t in app.toggle if "beside the flat" in t.label).set_value(True).run()
    app.switch_page(look.page("families")).run()
    assert not app.exception, app.exception
    assert "as often as among your confirmed cases" in " ".join(
        part.proto.body for part in app.get("html")
    )
