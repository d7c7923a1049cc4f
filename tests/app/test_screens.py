"""The screens without a browser: what each shows, and what a user's input changes."""

import json
import re
import sys
from html import escape
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from features.film import read_film_file
from features.marks import check_marks
from identify.evidence import Item
from identify.ranking import NOT_CONFIRMED
from identify.screens import marking, on_table, session
from tests.app.steps import case_of, choose, go, html_of, open_own_film, press

ROOT = Path(__file__).resolve().parents[2]
JUDGED = ("findings", "families", "restore", "record")


def test_every_screen_opens_on_the_first_demo_film_in_turn(app):
    for name in JUDGED:
        go(app, name)
        assert NOT_CONFIRMED in html_of(app)


def test_the_demo_films_are_offered_without_their_file_names(app):
    offered = next(box for box in app.selectbox if box.label == "On the table").options
    assert offered == [f"Demo film {number}" for number in range(1, len(offered) + 1)]
    assert len(offered) == len(on_table.demo_films())


def test_numbers_stand_under_the_demo_film_at_once(app):
    assert re.search(r"Length</span><b>[\d.]+ ± [\d.]+ mm", html_of(app))


def test_an_unreadable_film_gives_one_sentence_and_keeps_the_work(app):
    case = case_of(app)
    before = (case.film.sha256, case.draft)
    app.file_uploader[0].set_value(("notes.png", b"this is text", "image/png")).run()
    assert not app.exception
    assert "notes.png" in app.error[0].value
    assert (case_of(app).film.sha256, case_of(app).draft) == before


def own_film(app):
    open_own_film(app)
    assert case_of(app).name == "mine.png"


def test_nothing_is_measured_on_an_own_film_before_its_handles_were_moved(app):
    own_film(app)
    assert "rf-numbers" not in html_of(app).split("</style>")[-1]
    assert "Drag the handles" in app.info[0].value
    go(app, "findings")
    assert "No implant is marked" in app.info[0].value


def test_an_own_film_marked_by_hand_goes_all_the_way(app):
    marks = case_of(app).draft
    own_film(app)
    for name in marking.implant_ids("A"):
        case_of(app).move(marking.points_of(marks), name)
    for name in JUDGED:
        go(app, name)
    assert case_of(app).public_name in html_of(app)
    assert "mine.png" not in html_of(app)


def test_without_a_scale_every_length_says_so(app):
    choose(app, "What is known", "none")
    assert "mm</b>" not in html_of(app)
    assert "nothing of known size" in html_of(app).lower()
    go(app, "findings")
    assert not re.search(r"[\d.]+ ± [\d.]+ mm", html_of(app))


def test_a_known_length_counts_only_once_its_size_is_typed(app):
    choose(app, "What is known", "none")
    choose(app, "What is known", "line")
    case = case_of(app)
    case.accept_places()
    assert case.marks().scale.kind == "none"
    app.run()
    size = next(box for box in app.number_input if box.label.startswith("Size"))
    size.set_value(8.0).run()
    assert case_of(app).marks().scale.kind == "line"


def test_an_answer_changes_the_ranking(app):
    go(app, "families")
    best = app.session_state["case"].chosen
    before = html_of(app)
    case_of(app).answer(best, "index_shape", Item(state="three lobes", by="mouth"))
    app.run()
    assert not app.exception
    assert html_of(app) != before


def test_answering_on_the_screen_is_kept_across_screens(app):
    go(app, "findings")
    key = "answer_findings_A_year_placed"
    app.number_input(key=key).set_value(1985).run()
    assert case_of(app).answers["A"]["year_placed"].value == 1985
    go(app, "families")
    go(app, "findings")
    assert app.number_input(key=key).value == 1985


def test_the_link_of_a_family_opens_its_own_note(app):
    go(app, "families")
    links = [button for button in app.button if button.label == "What can be restored on it"]
    wanted = links[1].key.removeprefix("restore_top_").removeprefix("restore_all_")
    links[1].click().run()
    assert not app.exception
    assert next(box for box in app.selectbox if box.label == "Family").value == wanted


def test_an_index_seen_to_be_missing_reaches_the_plan(app):
    go(app, "restore")
    choose(app, "Family", "external_hex_parallel")
    before = html_of(app)
    app.button_group(key="answer_restore_A_index").set_value("absent").run()
    assert not app.exception
    assert case_of(app).answers["A"]["index"].state == "absent"
    choose(app, "Family", "external_hex_parallel")
    assert "does not suit" in html_of(app)
    assert "does not suit" not in before


def test_the_note_on_a_family_gives_its_references_in_full(app):
    go(app, "restore")
    choose(app, "Family", "external_hex_parallel")
    note = next(part.value for part in app.markdown if "Restoring it" in part.value)
    assert not re.search(r"\[[a-z_]+\]", note)
    for key in re.findall(r"\[([a-z_]+)\]", "".join(prose_of("external_hex_parallel"))):
        assert escape(session.notes().sources[key].reference, quote=False) in html_of(app)


def prose_of(key):
    return session.notes().families[key].prose.values()


def test_a_stop_sign_ends_planning(app):
    go(app, "restore")
    asked = next(group for group in app.button_group if group.label.startswith("First: should"))
    asked.set_value(["moves"]).run()
    assert not app.exception
    assert "the implant itself moves" in app.error[0].value
    assert '<details class="rf-way"' not in html_of(app)


def test_a_confirmed_family_takes_the_warning_off_and_taking_it_back_restores_it(app):
    go(app, "record")
    choose(app, "By", "trial")
    assert NOT_CONFIRMED in html_of(app)  # by what is known, but not as which family
    choose(app, "As", next(box for box in app.selectbox if box.label == "As").options[0])
    assert NOT_CONFIRMED not in html_of(app)
    go(app, "families")
    assert NOT_CONFIRMED not in html_of(app)
    go(app, "record")
    choose(app, "By", None)
    assert NOT_CONFIRMED in html_of(app)


def test_a_trial_part_that_binds_takes_the_confirmation_by_trial_back(app):
    go(app, "record")
    choose(app, "By", "trial")
    choose(app, "As", next(box for box in app.selectbox if box.label == "As").options[0])
    go(app, "families")
    choose(app, "A trial part", "binds")
    assert NOT_CONFIRMED in html_of(app)
    go(app, "record")
    assert NOT_CONFIRMED in html_of(app)


def test_only_what_lets_parts_be_ordered_is_offered_as_a_confirmation(app):
    go(app, "record")
    offered = next(box for box in app.selectbox if box.label == "By").options
    assert offered == list(session.confirming().values())
    assert not any("film" in word and "only" in word for word in offered)


def test_a_second_implant_is_added_chosen_and_removed(app):
    press(app, "Add a second implant")
    case = case_of(app)
    assert case.labels == ["A", "B"]
    first = marking.points_of(case.draft)
    moved = {name.replace("A:", "B:"): place for name, place in first.items() if "A:" in name}
    for name in marking.implant_ids("B"):
        case.move(moved, name)
    go(app, "findings")
    app.button_group(key="chosen").set_value("B").run()
    assert case_of(app).chosen == "B"
    assert "implant B" in html_of(app)
    go(app, "film")
    press(app, "Remove implant B")
    assert case_of(app).labels == ["A"]
    assert case_of(app).chosen == "A"


@pytest.mark.parametrize("way", ["argument", "environment"])
def test_the_film_named_on_start_is_opened_with_the_marks_beside_it(monkeypatch, way):
    path = list(on_table.demo_films().values())[-1]
    if way == "argument":
        monkeypatch.setattr(sys, "argv", [str(ROOT / "app.py"), str(path)])
    else:
        monkeypatch.setenv(on_table.FILM_VARIABLE, str(path))
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60).run()
    assert not app.exception
    case = case_of(app)
    assert case.film.sha256 == read_film_file(path).sha256
    assert not case.pending


def test_an_unreadable_film_named_on_start_is_said_and_the_demo_opens(monkeypatch, tmp_path):
    (tmp_path / "bad.png").write_text("this is text")
    monkeypatch.setenv(on_table.FILM_VARIABLE, str(tmp_path / "bad.png"))
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60).run()
    assert not app.exception
    assert "bad.png" in app.error[0].value
    assert case_of(app).name == "Demo film 1"


def test_the_reading_is_made_once_for_the_same_film_and_marks(app):
    case = case_of(app)
    assert session.read_case(case) is session.read_case(case)


def test_a_film_put_back_on_the_table_keeps_its_marks(app):
    case = case_of(app)
    places = marking.points_of(case.draft)
    case.move(places | {"A:apex": (places["A:apex"][0] + 3, places["A:apex"][1])}, "A:apex")
    moved = case.draft
    choose(app, "On the table", "Demo film 2")
    choose(app, "On the table", "Demo film 1")
    assert case_of(app).draft == moved


def test_the_marks_can_be_saved_and_are_what_the_command_line_reads(app):
    labels = [part.proto.label for part in app.get("download_button")]
    assert "Save the marks" in labels
    marks = case_of(app).marks()
    saved = json.loads(marks.model_dump_json(indent=1, exclude_none=True))
    film = case_of(app).film
    assert check_marks(saved, width=film.width, height=film.height) == marks


def test_every_family_has_its_bar_for_and_against(app):
    said = html_of(go(app, "families"))
    families = len(session.notes().families) + len(session.notes().rivals)
    assert said.count('class="rf-family line"') == families
    assert (
        len(re.findall(r'aria-label="[+−\d.]+ points for it, [+−\d.]+ against"', said)) > families
    )
    assert "Not known yet: " in said
