"""A PDF as a reader sees it: words with their places, and the picture of a page."""

from __future__ import annotations

from dataclasses import dataclass

import pypdfium2


@dataclass(frozen=True)
class Word:
    """One piece of text on one line, with its box in points from the lower left."""

    page: int
    text: str
    left: float
    bottom: float
    right: float
    top: float


def words_of(pdf: bytes) -> list[Word]:
    found = []
    document = pypdfium2.PdfDocument(pdf)
    for number, page in enumerate(document, 1):
        text = page.get_textpage()
        for index in range(text.count_rects()):
            box = text.get_rect(index)
            found.append(Word(number, text.get_text_bounded(*box), *box))
    return found


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    pages = (page.get_textpage().get_text_range() for page in document)
    return " ".join("\n".join(pages).replace("\u00a0", " ").split())


def sizes_of(pdf: bytes) -> list[tuple[float, float]]:
    return [page.get_size() for page in pypdfium2.PdfDocument(pdf)]


def pictures_of(pdf: bytes, scale: float = 1.5):
    return [page.render(scale=scale).to_pil().convert("RGB") for page in pypdfium2.PdfDocument(pdf)]


def check_nothing_cut_or_overlapping(pdf: bytes, margin: float = 20.0) -> None:
    """Every word inside its page's margin, and no two words on top of each other."""
    sizes, words = sizes_of(pdf), words_of(pdf)
    assert words
    for word in words:
        width, height = sizes[word.page - 1]
        assert margin <= word.left, word
        assert word.right <= width - margin, word
        assert margin <= word.bottom, word
        assert word.top <= height - margin, word
    for i, one in enumerate(words):
        for other in words[i + 1 :]:
            assert one.page != other.page or shared(one, other) < 0.3, (one, other)


def shared(one: Word, other: Word) -> float:
    """Area two boxes share, of the smaller one."""
    wide = min(one.right, other.right) - max(one.left, other.left)
    high = min(one.top, other.top) - max(one.bottom, other.bottom)
    if wide <= 0 or high <= 0:
        return 0.0
    areas = [(w.right - w.left) * (w.top - w.bottom) for w in (one, other)]
    return wide * high / max(min(areas), 1e-9)
