"""Proposed marks on the film screen, without a browser."""

import math
import re

from features.marks import ImplantMark
from identify.screens import marking, proposing
from tests.app.steps import case_of, html_of, open_own_film, press

MARK = ImplantMark(label="A", platform_px=((300, 300), (400, 300)), apex_px=(350, 600))


def test_proposed_marks_lie_on_the_implant_and_still_wait_for_a_hand(app):
    marked = marking.points_of(case_of(app).draft)
    open_own_film(app)
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
    open_own_film(app)
    case = case_of(app)
    before = (case.draft, case.pending)
    proposing.propose_here(case, (0.0, 0.0))
    assert (case.draft, case.pending) == before  # air is no implant
    case.propose(proposing.with_place(case.draft, "A", MARK), ["A"])
    assert marking.points_of(case.draft)["A:apex"] == MARK.apex_px
    case.undo()
    assert (case.draft, case.pending) == before
