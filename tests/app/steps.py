"""What a user does on the screens, for the tests that drive them without a browser."""

from __future__ import annotations

from pathlib import Path

from streamlit.testing.v1 import AppTest

from identify.screens import look, on_table, session

ROOT = Path(__file__).resolve().parents[2]


def started():
    opened = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60).run()
    assert not opened.exception
    return opened


def case_of(app):
    return app.session_state["case"]


def go(app, name):
    app.switch_page(look.page(name)).run()
    assert not app.exception, app.exception
    return app


def html_of(app):
    return " ".join(part.proto.body for part in app.get("html"))


def press(app, label):
    next(button for button in app.button if button.label == label).click().run()
    assert not app.exception, app.exception


def choose(app, label, value):
    next(box for box in app.selectbox if box.label == label).set_value(value).run()
    assert not app.exception, app.exception


def open_own_film(app, name="mine.png"):
    raw = next(iter(on_table.demo_films().values())).read_bytes()
    app.file_uploader[0].set_value((name, raw, "image/png")).run()
    assert not app.exception
    return case_of(app)


def titles():
    """Title of every family by its key."""
    return {key: family.title for key, family in session.load_notes().families.items()}


def confirm(app, title, kind="trial"):
    go(app, "record")
    choose(app, "By", kind)
    choose(app, "As", title)
