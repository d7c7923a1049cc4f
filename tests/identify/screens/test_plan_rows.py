"""The plan as HTML: one line a way; everything else folded; nothing unescaped."""

from __future__ import annotations

import re
from dataclasses import replace

from identify.case_file import Case
from identify.plan import Reason
from identify.restore import plan
from identify.screens.plan_rows import ways_html
from tests.identify.planned_cases import CONE, EXTERNAL, NOTES, implants


def made(**facts):
    return plan(Case.model_validate(facts), NOTES)


def summaries(html):
    return re.findall(r'<details class="rf-way"><summary>(.*?)</summary>', html)


def test_each_line_carries_the_verdict_and_the_reason_it_hangs_on() -> None:
    planned = made(**CONE, indication="single")
    lines = summaries(ways_html(planned.options, None, ""))
    assert lines
    assert all("rf-chip" in line and "rf-why" in line for line in lines)
    first, last = lines[0], lines[-1]
    assert ">suits<" in first
    assert ">does not suit<" in last


def test_every_way_stands_on_exactly_one_line() -> None:
    planned = made(**EXTERNAL, indication="splinted", implants=implants())
    html = ways_html(planned.options, None, "")
    made_as = re.findall(r"</b> <span>(.*?)</span>", html)
    assert sum(len(names.split(" · ")) for names in made_as) == len(planned.options)


def test_steps_begin_at_nought_and_parts_carry_the_stamp() -> None:
    html = ways_html(made(**EXTERNAL, indication="single").options, None, "")
    assert '<ol start="0"><li>Take the old work off safely' in html
    assert html.count("ask whether obtainable</p>") == html.count('<details class="rf-steps">')
    confirmed = made(**EXTERNAL, indication="single", confirmed="trial")
    assert "NOT CONFIRMED" not in ways_html(confirmed.options, None, "")


def test_a_rival_has_its_verdict_on_the_same_line() -> None:
    planned = made(**EXTERNAL, rival="tissue_level_cone", indication="single")
    assert planned.rival is not None
    rivals = {option.way: option for option in planned.rival.options}
    lines = summaries(ways_html(planned.options, rivals, planned.rival.title))
    assert all(line.count("rf-chip") == 2 for line in lines)


def test_text_of_a_case_is_escaped() -> None:
    option = made(**EXTERNAL, indication="single").options[0]
    nasty = replace(option, reasons=(Reason("<script>alert(1)</script>", "common practice"),))
    assert "<script" not in ways_html([nasty], None, "")
