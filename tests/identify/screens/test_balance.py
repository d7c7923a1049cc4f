"""The bar for and against a family: its pieces are the items' points, to one scale."""

import re

import pytest

from identify.missing import Missing
from identify.ranking import Row
from identify.screens import balance

ROWS = (
    Row("pitch", 6.0, 'Pitch <0.6>; "for" it.', "film"),
    Row("index", 3.0, "Index.", "mouth"),
    Row("taper", -4.5, "Taper.", "film"),
    Row("depth", 0.0, "Depth.", "film", counted_with="pitch"),
)


def widths(html, side):
    half = re.search(rf'<div class="{side}[^"]*">(.*?)</div>', html).group(1)
    return [float(width) for width in re.findall(r"width:([\d.]+)%", half)]


def test_pieces_are_as_long_as_their_points_heaviest_next_to_the_middle():
    html = balance.bar(ROWS, 12.0)
    assert widths(html, "for") == [50.0, 25.0]
    assert widths(html, "against") == [37.5]


def test_sums_are_said_in_words_for_who_cannot_see_the_bar():
    assert 'aria-label="+9.0 points for it, −4.5 against"' in balance.bar(ROWS, 12.0)
    assert balance.sums_of(ROWS) == (9.0, -4.5)


def test_sentences_are_text_not_markup():
    html = balance.bar(ROWS, 12.0) + balance.reasons(ROWS)
    assert "<0.6>" not in html
    assert "&lt;0.6&gt;; &quot;for&quot; it." in html


def test_a_half_too_long_is_shown_cut():
    assert 'class="for cut"' in balance.bar(ROWS, 8.0)
    assert "cut" not in balance.bar(ROWS, 9.0)


@pytest.mark.parametrize(("points", "full"), [(2.0, 10.0), (25.0, 25.0), (300.0, 40.0)])
def test_bars_beside_each_other_have_one_scale(points, full):
    assert balance.full_width([ROWS, (Row("x", -points, "X.", "film"),)]) == full
    assert balance.full_width([]) == 10.0


def test_every_item_stands_among_the_reasons_heaviest_first():
    points = re.findall(r"</td><td>([^<]+)</td>", balance.reasons(ROWS))
    assert points == ["+6.0", "−4.5", "+3.0", "0"]


def test_what_is_missing_is_named_with_why():
    some = [Missing(f"i{n}", f"Item {n}", 5.0 - n, "covered by a crown") for n in range(3)]
    said = balance.missing_text(some, 2)
    assert said == (
        "Not known yet: item 0 (covered by a crown); item 1 (covered by a crown); and 1 more."
    )
    assert "Nothing is missing" in balance.missing_text((), 2)


def test_a_half_that_is_cut_is_full_and_no_longer():
    rows = [Row(f"item {n}", points, "Seen.", "film") for n, points in enumerate((30.0, 25.0, 5.0))]
    assert widths(balance.bar(rows, 40.0), "for") == [75.0, 25.0, 0.0]
