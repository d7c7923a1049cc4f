"""What is typed into the shelf's tables is checked like any list, and means what it shows."""

from identify.screens.shelf_edit import part_cells, size_cells, typed
from identify.shelf import Shelf
from tests.identify.shelves import FAMILY, NOTES, part, shelf, size

OWN = shelf(
    size("3.5", platform_width_mm=3.5, lengths_mm=(8, 10.5)),
    size("4.0", index="present", screw_thread="M2"),
    part("stud", height_mm=3, checked_on="2026-09-14"),
    part("driver", platform_width_mm=None),
)


def test_what_is_shown_and_not_touched_means_the_same():
    kept = typed(size_cells(OWN, NOTES), part_cells(OWN), NOTES)
    assert not kept.problems
    assert kept.shelf == OWN


def test_an_empty_shelf_offers_one_row_that_says_nothing():
    rows = size_cells(Shelf(), NOTES), part_cells(Shelf())
    assert [len(one) for one in rows] == [1, 1]
    assert typed(*rows, NOTES).shelf == Shelf()


def test_a_new_row_needs_only_what_a_row_needs():
    row = dict.fromkeys(size_cells(Shelf(), NOTES)[0]) | {
        "system": "Alder",
        "family": NOTES.families[FAMILY].title,
        "size": "one",
        "platform_width_mm": 4.0,
        "lengths_mm": "8 10",
    }
    made = typed([row], [], NOTES)
    assert not made.problems
    assert made.shelf.sizes == (size("one", lengths_mm=(8, 10)),)


def test_a_wrong_cell_is_named_by_its_row():
    rows = size_cells(OWN, NOTES)
    rows[1]["lengths_mm"] = "8 x"
    (problem,) = typed(rows, [], NOTES).problems
    assert problem.where == "size 2"
    assert "no number" in problem.sentence
