"""An implant that no film shows: answers alone, weighed as the command line weighs them."""

from identify.evidence import Evidence
from identify.knowledge import load_notes
from identify.weigh import weigh
from tests.app.steps import case_of, go, html_of, press

SHAPE = "answer_no film_A_index_shape"


def answer(app, key, state):
    app.button_group(key=f"answer_no film_A_{key}").set_value(state).run()
    assert not app.exception, app.exception


def kept(app):
    return app.session_state["unfilmed"].given


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


def test_start_again_forgets_them(app):
    go(app, "no_film")
    answer(app, "index_shape", "three lobes")
    press(app, "Start again")
    assert kept(app) == {}


def test_no_question_is_put_of_a_film_that_is_not_there(app):
    go(app, "no_film")
    answer(app, "index", "present")
    checklist = load_notes().checklist.items
    asked = {group.key.split("_A_")[1] for group in app.button_group if group.key}
    asked = {key.removesuffix("_on") for key in asked}
    assert asked
    assert all(checklist[key].asked_of[0] != "eye" for key in asked)
