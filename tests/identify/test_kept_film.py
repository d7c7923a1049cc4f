"""What is kept of a film: its pixels and what they measure, nothing of whose they are."""

from __future__ import annotations

import numpy as np
import pytest

from features.input_file import BadInput
from identify.film_store import FilmStore
from identify.kept_film import KeptFilm, keep, keepable, opened
from tests.identify.kept_cases import some_film


def test_a_film_comes_back_pixel_for_pixel():
    film = keepable(some_film())
    again = opened(keep(film), "film")
    assert (again.pixels == film.pixels).all()
    assert (again.sha256, again.bits, again.notes) == (film.sha256, 12, ("a note",))
    assert again.spacing == film.spacing


def test_keeping_changes_no_pixel_by_more_than_half_a_16_bit_step():
    film = some_film()
    assert np.abs(keepable(film).pixels - film.pixels).max() <= 0.5001 / 65535


@pytest.mark.parametrize("levels", [255, 65535])
def test_8_and_16_bit_films_are_kept_exactly(levels):
    grey = np.random.default_rng(0).integers(0, levels + 1, (40, 40))
    film = some_film()
    exact = type(film)((grey / levels).astype(np.float32), film.sha256, 16)
    assert (keepable(exact).pixels == exact.pixels).all()


def test_a_changed_file_is_noticed(tmp_path):
    store = FilmStore(tmp_path)
    name = store.put(keep(some_film(1)))
    (store.folder / f"{name}.png").write_bytes(keep(some_film(2)).png)
    with pytest.raises(BadInput, match="was changed; restore a backup"):
        store.get(name)


def test_a_damaged_picture_is_one_sentence():
    kept = keep(some_film())
    with pytest.raises(BadInput, match="damaged; put it back from a backup"):
        opened(KeptFilm(kept.png[:40], kept.facts), "film")


def test_a_missing_film_is_one_sentence(tmp_path):
    with pytest.raises(BadInput, match="cannot be read"):
        FilmStore(tmp_path).get("0" * 64)
