from __future__ import annotations

from identify.letter import ASKED_FOR, Letter, letter_pdf
from tests.identify.printed_pages import check_nothing_cut_or_overlapping, sizes_of, text_of


def test_an_empty_letter_is_one_page_with_lines_to_write_on():
    made = letter_pdf(Letter())
    assert len(sizes_of(made)) == 1
    check_nothing_cut_or_overlapping(made)
    text = text_of(made)
    for asked in ASKED_FOR:
        assert asked in text
    for named in ("From", "To", "Date"):
        assert named in text
    assert "the practice that writes this letter" in text


def test_what_was_typed_stands_in_it():
    full = Letter("To", "From", "P 17", ("36", "37"), "about 1995", "1 May")
    text = text_of(letter_pdf(full, paper="us-letter"))
    assert "36 (FDI), #19 (Universal) and 37 (FDI), #18 (Universal), placed about 1995" in text
    assert "Patient: P 17" in text
