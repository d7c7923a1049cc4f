"""The page that goes to the laboratory."""

from __future__ import annotations

import pytest

from identify.case_file import Case
from identify.restore import plan
from identify.work_order import WorkOrder, work_order_html
from tests.identify.planned_cases import EXTERNAL, NO_INDEX, NOTES, upright


def page(*, typed=None, way=("splinted", "cement", "stock"), **facts):
    case = Case.model_validate(facts)
    planned = plan(case, NOTES)
    option = next(option for option in planned.options if option.way == way)
    order = WorkOrder(planned, option, case.implants, "film.png", "3 May 2026", typed or {})
    return work_order_html(order)


@pytest.mark.parametrize(("confirmed", "stamped"), [("bench", True), ("record", False)])
def test_nothing_goes_to_the_laboratory_unstamped_before_it_is_confirmed(confirmed, stamped):
    html = page(**NO_INDEX, **upright(8.0, -8.0), confirmed=confirmed)
    assert ("NOT CONFIRMED: DO NOT ORDER PARTS" in html) == stamped
    assert ("ask whether obtainable" in html) == stamped
    assert ("as guessed from the film" in html) == stamped


def test_the_page_holds_steps_parts_path_and_height():
    html = page(**NO_INDEX, **upright(8.0, -8.0, tissue_depth_mm=2.0), vertical_space_mm=9.0)
    assert '<ol start="0">\n<li>Take the old work off safely' in html
    assert "A leans 8" in html
    assert "off the top of one wall" in html
    assert "models in stone" in html
    assert "gum over the platform: 2 mm" in html
    assert "stock abutment: scarce" in html


def test_typed_text_is_escaped_and_blanks_are_left_out():
    html = page(**EXTERNAL, **upright(1.0, -1.0), typed={"Patient": "<b>7</b>", "Remarks": " "})
    assert "&lt;b&gt;7&lt;/b&gt;" in html
    assert "Remarks" not in html


def test_no_torque_figure_is_on_the_page():
    html = page(**EXTERNAL, **upright(1.0, -1.0))
    assert "Ncm" not in html
    assert "No torque stands here" in html
