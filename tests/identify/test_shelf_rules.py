"""shelf.toml: its screws are the standards' own, its kinds and rules hold together."""

import tomllib
from pathlib import Path

import pytest

from identify.shelf_check import part_kinds
from tests.identify.shelves import NOTES

PUBLISHED = Path(__file__).parents[1] / "published" / "iso_threads.toml"
THREADS = {row["name"]: row for row in tomllib.loads(PUBLISHED.read_text())["thread"]}


@pytest.mark.published
@pytest.mark.parametrize("name", sorted(set(NOTES.shelf.screws) & set(THREADS)))
def test_a_screw_is_the_one_of_the_standard(name):
    screw, row = NOTES.shelf.screws[name], THREADS[name]
    assert screw.major_mm == pytest.approx(row["major_mm"], abs=1e-4)
    assert screw.pitch_mm == pytest.approx(row["pitch_mm"], abs=1e-4)


def test_only_one_screw_is_not_in_the_published_table():
    assert set(NOTES.shelf.screws) - set(THREADS) == {"M1.4"}


def test_every_kind_a_restoration_asks_for_may_stand_on_the_shelf():
    asked_for = {kind for row in NOTES.rules.parts for kind in row.kinds}
    assert asked_for <= set(part_kinds(NOTES))


def test_written_sizes_are_nearer_than_the_steps_between_sizes():
    # else two neighbouring sizes of one shelf could never be told apart, however good the film
    near = NOTES.shelf.matching
    assert near.platform_std_mm.value <= 0.1
    assert near.length_std_mm.value <= 0.5
