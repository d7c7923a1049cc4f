"""Proposed marks on the film screen, without a browser."""

import math
import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from features.marks import ImplantMark
from identify.screens import marking, proposing, session

APP = Path(__file__).resolve().parents[2] / "app.py"
MARK = ImplantMark(label="A", platform_px=((300, 300), (400, 300)), apex_px=(350, 600))


@pytest.fixture
def app(monkeypatch):
    monkeypatch.delenv(session.FILM_VARIABLE, raising=False)
    started = AppTest.from_file(str(APP), default_timeout=60).run()
    assert not started.exception
    return started


def case_of(app):
    return app.session_state["case"]


def html_of(app):
    return " ".join(part.proto.body for part in app.get("html"))


def own_film(app):
    raw = next(iter(session.demo_films().values())).read_bytes()
    app.file_uploader[0].set_value(("mine.png", raw, "image/png")).run()
    assert not app.exception


def press(app, label):
    next(button for button in app.button if button.label == label).click().run()
    assert not app.exception, app.exception


def test_proposed_marks_lie_on_the_implant_and_still_wait_for_a_hand(app):
    marked = marking.points_of(case_of(app).draft)
    own_film(app)
    press(app, "Propose marks")
    proposed = marking.points_of(case_of(app).draft)
    far = [math.dist(proposed["A:apex"], marked["A:apex"])]
    far.append(math.dist(middle(proposed), middle(marked)))
    assert max(far) < 25  # the demo's own marks are a few pixels off themselves
    assert case_of(app).pending >= set(marking.implant_ids("A"))
    assert "a proposal" in " ".join(info.value for info in app.info)
    press(app, "All handles are in place")
    assert re.search(r"Length</span><b>[\d.]+ ± ", html_of(app))


def middle(points):
    (x1, y1), (x2, y2) = points["A:platform_1"], points["A:platform_2"]
    return (x1 + x2) / 2, (y1 + y2) / 2


def test_nothing_is_offered_where_all_handles_are_in_place(app):
    assert "Propose marks" not in [button.label for button in app.button]
    assert "click once" not in html_of(app)


def test_undo_takes_a_proposal_back(app):
    own_film(app)
    case = case_of(app)
    before = (case.draft, case.pending)
    proposing.propose_here(case, (0.0, 0.0))
    assert (case.draft, case.pending) == before  # air is no implant
    case.propose(proposing.with_place(case.draft, "A", MARK), ["A"])
    assert marking.points_of(case.draft)["A:apex"] == MARK.apex_px
    case.undo()
    assert (case.draft, case.pending) == before
