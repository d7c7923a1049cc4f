"""The Shelf: a list brought in, looked at and taken along; the size that fits after Families."""

from pathlib import Path

import pytest

from identify.screens import on_table
from identify.shelf_store import load_shelf
from sample_images.demo_films import FOLDER
from tests.app.steps import go, html_of, press, started

ROOT = Path(__file__).resolve().parents[2]
HEADER = "row,system,family,size,platform_width_mm,body_width_mm,lengths_mm,kind,state\n"
GOOD = (
    HEADER + "size,Hazel,bone_level_cone,one,4.4,4.4,9 11,,\npart,Hazel,,,4.4,,,replica,in stock\n"
)


@pytest.fixture
def app(monkeypatch, tmp_path):
    monkeypatch.setenv("RADIOFIXTURE_DATA", str(tmp_path / "data"))
    monkeypatch.delenv(on_table.FILM_VARIABLE, raising=False)
    return go(started(), "shelf")


def bring(app, text, name="mine.csv"):
    app.file_uploader[0].set_value((name, text.encode(), "text/csv")).run()
    assert not app.exception, app.exception


def test_an_empty_shelf_says_what_it_is_for(app):
    assert "Nothing is on the shelf yet" in html_of(app)
    assert "An empty list to fill in" in [p.proto.label for p in app.get("download_button")]


def test_a_good_list_is_shown_before_it_is_stored_and_stored_when_asked(app):
    bring(app, GOOD)
    assert "2 new" in app.markdown[0].value
    assert not load_shelf()
    press(app, "Put it on the shelf")
    assert "2 new" in app.success[0].value
    assert len(load_shelf().sizes) == 1
    assert "Hazel" in app.subheader[0].value
    assert "<td>Replica" in html_of(app)


def test_a_wrong_list_names_its_rows_and_cannot_be_stored(app):
    bring(app, GOOD.replace("bone_level_cone", "bone_level_con").replace("in stock", "gone"))
    assert "2 rows have to be put right" in app.error[0].value
    assert "row 2" in html_of(app)
    assert "row 3" in html_of(app)
    assert "Put it on the shelf" not in [button.label for button in app.button]


def test_a_file_that_is_no_list_is_refused_in_words(app):
    bring(app, "PK\x03\x04")
    assert "is a workbook" in app.error[0].value


def test_names_from_a_file_are_text_and_never_markup(app):
    bring(app, GOOD.replace(",one,", ",<script>x()</script>,"))
    press(app, "Put it on the shelf")
    assert "<script>" not in html_of(app)
    assert "&lt;script&gt;" in html_of(app)


def test_the_invented_shelf_can_be_tried_and_cleared(app):
    press(app, "Try it with an invented shelf")
    assert len(load_shelf().sizes) == 8
    press(app, "Take everything off")
    assert not load_shelf()
    assert "Nothing is on the shelf yet" in html_of(app)


def test_taking_everything_else_off_is_asked_for(app):
    press(app, "Try it with an invented shelf")
    app.toggle[0].set_value(True).run()
    bring(app, GOOD)
    press(app, "Put it on the shelf")
    assert [size.system for size in load_shelf().sizes] == ["Hazel"]


def test_after_the_families_the_size_on_the_shelf_is_named_and_nothing_confirmed(app):
    go(app, "families")
    assert "Which size on your shelf" not in [part.value for part in app.subheader]
    go(app, "shelf")
    press(app, "Try it with an invented shelf")
    open_demo_film(app, "bone_level_cone")
    go(app, "families")
    assert "Which size on your shelf" in [part.value for part in app.subheader]
    assert "mm platform" in html_of(app)
    assert "a size is settled by the part in hand" in html_of(app)


def open_demo_film(app, family):
    names = [n for n, path in on_table.demo_films().items() if path.name.startswith(family)]
    go(app, "film")
    next(b for b in app.selectbox if b.label == "On the table").set_value(names[0]).run()


def choose_family(app, family):
    go(app, "restore")
    next(b for b in app.selectbox if b.label == "Family").set_value(family).run()
    assert not app.exception, app.exception
    return html_of(app)


def test_the_plan_knows_what_is_on_the_shelf(app):
    open_demo_film(app, "external_hex_parallel")
    assert "in stock" not in choose_family(app, "external_hex_parallel")
    go(app, "shelf")
    press(app, "Try it with an invented shelf")
    assert "in stock" in choose_family(app, "external_hex_parallel")


def test_data_that_cannot_be_used_is_said_and_the_film_still_works(app, tmp_path):
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "radiofixture.db").write_text("no database, but longer than its header")
    go(app, "shelf")
    assert "no database" in app.error[0].value
    go(app, "families")


def test_the_demo_shelf_lies_beside_the_demo_films():
    assert (FOLDER / "shelf.toml").exists()
    assert FOLDER == on_table.DEMO
