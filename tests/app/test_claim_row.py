"""A row of the shelf claimed on Second reading."""

from identify.shelf_file import load_shelf_file
from identify.shelf_store import clear_shelf, import_shelf
from tests.app.steps import choose, go, html_of
from tests.identify.shelves import DEMO, NOTES

BOX = "Claimed size on your shelf"
CEDAR = "Cedar (invented) 3.6"


def labels(app):
    return [box.label for box in app.selectbox]


def test_an_empty_shelf_is_not_asked_about(app):
    go(app, "second_reading")
    assert BOX not in labels(app)
    assert "Claimed family" in labels(app)


def test_a_row_is_tested_in_all_it_says_and_another_length_changes_the_answer(app):
    import_shelf(load_shelf_file(DEMO, NOTES))
    go(app, "second_reading")
    choose(app, BOX, CEDAR)
    assert "Claimed family" not in labels(app)
    said = html_of(app)
    assert f"{CEDAR} (" in said
    assert "Tested: platform 3.6 mm, body 3.6 mm, 9 to 13 mm long" in said
    choose(app, "Claimed length, mm", 9.0)
    assert "body 3.6 mm, 9 mm long" in html_of(app)
    assert html_of(app) != said


def test_a_row_taken_off_the_shelf_is_no_longer_claimed(app):
    import_shelf(load_shelf_file(DEMO, NOTES))
    go(app, "second_reading")
    choose(app, BOX, CEDAR)
    clear_shelf()
    go(app, "second_reading")
    assert BOX not in labels(app)
    assert "Claimed family" in labels(app)
