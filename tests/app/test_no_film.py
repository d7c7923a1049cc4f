"""An implant that no film shows: answers alone, weighed as the command line weighs them."""

from features.input_file import BadInput
from identify.casebook import Casebook
from identify.evidence import Evidence
from identify.knowledge import load_notes
from identify.ranking import NOT_CONFIRMED
from identify.screens import on_table
from identify.sheet import NO_FILM_SAID
from identify.weigh import weigh
from tests.app.steps import case_of, choose, go, html_of, press, started, titles
from tests.identify.kept_cases import unfilmed_case

SHAPE = "answer_no film_A_index_shape"


def answer(app, key, state):
    app.button_group(key=f"answer_no film_A_{key}").set_value(state).run()
    assert not app.exception, app.exception


def kept(app):
    return app.session_state["unfilmed"].given


def text(app, label, words):
    next(box for box in app.text_input if box.label == label).set_value(words).run()
    assert not app.exception, app.exception


def test_nothing_is_ranked_before_anything_is_answered(app):
    go(app, "no_film")
    assert "Nothing is answered yet" in app.info[0].value
    assert "Best supported" not in [part.value for part in app.subheader]


def test_an_answer_ranks_the_families_as_the_command_line_does(app):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    file = app.get("download_button")
    assert any(button.proto.label == "Answers (JSON)" for button in file)
    evidence = Evidence(label="A", items=kept(app))
    best = weigh(evidence, load_notes()).families[0]
    assert best.title in html_of(app)
    assert "DO NOT ORDER PARTS" in html_of(app)


def test_an_answer_taken_back_leaves_nothing(app):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    answer(app, "index_shape", None)
    assert kept(app) == {}
    assert app.info


def test_answers_outlast_a_look_at_another_screen(app):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    go(app, "findings")
    go(app, "no_film")
    assert app.button_group(key=SHAPE).value == "three lobes"


def test_answers_are_taken_to_the_film_on_the_table(app):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    case = case_of(app)
    press(app, f"Add them to {case.public_name}, implant A")
    assert case_of(app).answers["A"]["index_shape"].state == "three lobes"


def test_a_case_of_which_nothing_is_said_is_not_kept(app, book):
    go(app, "no_film")
    app.run()
    assert book.find() == ()


def test_an_answer_is_kept_at_once_and_another_case_begins_beside_it(app, book):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    press(app, "Start another case")
    assert kept(app) == {}
    (saved,) = book.find("no film")
    assert saved.case.unfilmed.answers["A"]["index_shape"]["state"] == "three lobes"


def test_after_the_browser_was_closed_the_case_opens_on_its_screen_as_it_was(app, book):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    choose(app, "Tooth (FDI)", "36")
    text(app, "Pseudonym", "P 17")
    again = go(started(), "cases")
    assert "P 17" in html_of(again)
    press(again, "Open")
    assert again.button_group(key=SHAPE).value == "three lobes"
    back = again.session_state["unfilmed"]
    assert (back.tooth, back.pseudonym) == ("36", "P 17")
    assert len(book.find("36 p 17")) == 1


def test_a_case_brought_in_under_another_label_is_answered_under_that(app, book):
    shape = {"index_shape": {"state": "three lobes", "by": "mouth"}}
    book.start(unfilmed_case(answers={"B": shape}, chosen="B"))
    go(app, "cases")
    press(app, "Open")
    assert app.button_group(key="answer_no film_B_index_shape").value == "three lobes"
    assert titles()["tri_channel"] in html_of(app)


def test_many_cases_without_a_film_leave_the_film_where_it_was(app):
    film = case_of(app)
    go(app, "no_film")
    for _ in range(on_table.KEPT_CASES + 1):
        answer(app, "index_shape", "three lobes")
        press(app, "Start another case")
    go(app, "film")
    assert case_of(app) is film
    assert next(box for box in app.selectbox if box.label == "On the table").value == film.key


def test_an_earlier_answer_is_gone_back_to(app, book):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    answer(app, "index_shape", "hexagon")
    (saved,) = book.find()
    assert saved.step.what == "answers changed"
    choose(app, "Step", 1)
    press(app, "Go back to this step")
    assert kept(app)["index_shape"].state == "three lobes"


def test_another_window_is_not_overwritten(app, book):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    (saved,) = book.find()
    theirs = saved.case.model_copy(update={"notes": "theirs"})
    book.save(saved.key, theirs, "notes changed", after=1)
    answer(app, "index_shape", "hexagon")
    app.run()
    assert "changed in another window" in app.warning[0].value
    press(app, "Take over what is saved")
    assert app.session_state["unfilmed"].remarks == "theirs"
    assert kept(app)["index_shape"].state == "three lobes"


def test_a_deleted_case_makes_room_for_a_new_one(app, book):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    go(app, "cases")
    next(b for b in app.checkbox if "delete it" in b.label).check().run()
    press(app, "Delete for good")
    assert book.find() == ()
    assert kept(app) == {}


def test_what_cannot_be_saved_is_said_and_does_not_give_way(app, book, monkeypatch):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    press(app, "Start another case")

    def full(*_):
        raise BadInput("The disk is full.")

    monkeypatch.setattr(Casebook, "start", full)
    answer(app, "index_shape", "hexagon")
    app.run()
    assert "not being saved" in app.warning[0].value
    assert next(b for b in app.button if b.label == "Start another case").disabled
    go(app, "cases")
    press(app, "Open")
    assert "not being saved" in app.error[0].value
    assert kept(app)["index_shape"].state == "hexagon"


def test_the_ranking_is_kept_with_the_step_it_answers(app, book):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    (saved,) = book.find()
    assert book.rankings(saved.key)[-1]["step"] == saved.step.number


def test_the_plan_is_shown_for_the_family_chosen_and_says_what_is_missing(app):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    choose(app, "Family", "internal_hex_parallel")
    shown = html_of(app)
    assert "on these answers" in shown
    assert "rf-ways" in shown
    assert "The vertical space is not given: not judged." in shown
    assert app.session_state["unfilmed"].facts["family A"] == "internal_hex_parallel"


def test_the_record_of_the_answers_can_be_had_on_every_page(app):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    labels = [button.proto.label for button in app.get("download_button")]
    assert "Download the record" in labels
    assert "Download the lab sheet" in labels
    next(switch for switch in app.toggle if switch.label == "Show the page").set_value(True).run()
    page = " ".join(part.proto.srcdoc for part in app.get("iframe"))
    assert NO_FILM_SAID in page
    assert NOT_CONFIRMED in page


def test_a_record_in_the_hand_confirms_it_and_the_case_is_kept_as_that(app, book):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    choose(app, "By", "record")
    choose(app, "As", titles()["tri_channel"])
    assert NOT_CONFIRMED not in html_of(app)
    app.run()
    (saved,) = book.find()
    assert saved.case.status == "record"
    choose(app, "A trial part", "binds")
    assert NOT_CONFIRMED in html_of(app)


def test_how_far_it_is_confirmed_is_shown_without_speaking_of_a_film(app):
    go(app, "no_film")
    answer(app, "driver", "square")
    assert "<strong>nobody looked at it yet</strong>" in html_of(app)
    assert "film only" not in html_of(app)
    answer(app, "index_shape", "three lobes")
    assert "<strong>connection seen in the mouth</strong>" in html_of(app)


def test_kinds_of_internal_index_are_not_ranked_before_the_platform_is_seen(app):
    go(app, "no_film")
    answer(app, "driver", "hexagon 1.25 mm")
    assert "kinds of internal index are not ranked apart" in html_of(app)
    answer(app, "index_shape", "three lobes")
    assert "kinds of internal index are not ranked apart" not in html_of(app)


def test_no_question_is_put_of_a_film_that_is_not_there(app):
    go(app, "no_film")
    answer(app, "index", "present")
    checklist = load_notes().checklist.items
    asked = {group.key.split("_A_")[1] for group in app.button_group if "_A_" in group.key}
    asked = {key.removesuffix("_on") for key in asked}
    assert asked
    assert all(checklist[key].asked_of[0] != "eye" for key in asked)
