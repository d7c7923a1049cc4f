"""Words about the shelf that no other test reads."""

from datetime import date

import pytest

from identify.shelf_words import checked_text


@pytest.mark.parametrize(
    ("day", "says"),
    [
        (date(2026, 9, 14), "checked 2026-09-14"),
        (date(2025, 11, 25), "checked 2025-11-25"),
        (date(2025, 11, 24), "checked 2025-11-24, ask again"),
    ],
)
def test_a_look_of_more_than_a_year_ago_is_to_be_repeated(day, says):
    assert checked_text(day, date(2026, 11, 25)) == says
