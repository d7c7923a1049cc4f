"""Cases for the casebook's tests."""

from __future__ import annotations

from typing import Any

import numpy as np

from features.radiograph import Radiograph, Spacing
from identify.casebook import Casebook, Saved
from identify.kept_case import FilmWork, KeptCase, UnfilmedWork
from identify.kept_film import keep

DRAFT = {
    "radiofixture": "marks/1",
    "film": {"holder": False},
    "scale": {"kind": "none"},
    "implants": [{"label": "A", "tooth": "36", "platform_px": [[1, 2], [9, 2]], "apex_px": [5, 9]}],
}


def some_film(seed: int = 1, **facts: Any) -> Radiograph:
    levels = np.random.default_rng(seed).integers(0, 4096, (48, 64))
    pixels = (levels / 4095).astype(np.float32)
    spacing = Spacing(0.02, "imager", None, 1.1, "as the file says")
    return Radiograph(pixels, "a" * 64, 12, ("a note",), **{"spacing": spacing} | facts)


def some_case(book: Casebook, pseudonym: str = "P 17", seed: int = 1) -> KeptCase:
    film = book.films.put(keep(some_film(seed)))
    work = FilmWork(film=film, name="film.png", draft=DRAFT, chosen="A")
    return KeptCase(pseudonym=pseudonym, films=(work,))


def unfilmed_case(**said: Any) -> KeptCase:
    """A case of answers alone."""
    index = {"state": "present", "by": "mouth"}
    shape = {"state": "three lobes", "by": "bench", "on": "implant"}
    answers = {"A": {"index": index, "index_shape": shape}}
    return KeptCase(unfilmed=UnfilmedWork(**{"tooth": "36", "answers": answers} | said))


def started(book: Casebook, **kind: Any) -> Saved:
    return book.start(some_case(book, **kind))
