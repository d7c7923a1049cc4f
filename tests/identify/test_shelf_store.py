"""Imports: what changes, what is kept, and nothing by halves."""

import pytest

from features.input_file import BadInput
from identify.database import open_database
from identify.shelf import Shelf
from identify.shelf_change import plan_change
from identify.shelf_check import RowProblem, ShelfFile
from identify.shelf_file import read_shelf_file
from identify.shelf_store import clear_shelf, import_shelf, load_shelf
from tests.identify.shelves import NOTES, part, shelf, size

BEFORE = shelf(size("3.5", platform_width_mm=3.5), size("4.0"), part())


@pytest.fixture
def folder(tmp_path):
    import_shelf(ShelfFile(BEFORE), folder=tmp_path)
    return tmp_path


def test_a_new_shelf_is_empty(tmp_path):
    assert load_shelf(tmp_path) == Shelf()
    assert not load_shelf(tmp_path)
    assert list(tmp_path.iterdir()) == []  # looking makes nothing


def test_what_was_imported_is_read_back(folder):
    assert load_shelf(folder) == BEFORE


def test_the_same_size_is_taken_from_the_file_and_others_stay(folder):
    coming = shelf(size("4.0", screw_thread="M2"), size("5.0", platform_width_mm=5.0), part())
    change = import_shelf(ShelfFile(coming), folder=folder)
    assert (change.new, change.changed, change.same, change.removed) == (1, 1, 1, 0)
    after = load_shelf(folder)
    assert {one.size: one.screw_thread for one in after.sizes} == {
        "3.5": "",
        "4.0": "M2",
        "5.0": "",
    }
    assert after.parts == BEFORE.parts


def test_replacing_leaves_nothing_else(folder):
    coming = shelf(size("4.0"))
    change = import_shelf(ShelfFile(coming), replace=True, folder=folder)
    assert (change.new, change.changed, change.same, change.removed) == (0, 0, 1, 2)
    assert load_shelf(folder) == coming


def test_one_wrong_row_and_nothing_is_taken_over(folder):
    wrong = ShelfFile(shelf(size("6.0")), (RowProblem("row 3", "is wrong."),))
    change = import_shelf(wrong, replace=True, folder=folder)
    assert [str(problem) for problem in change.problems] == ["row 3: is wrong."]
    assert load_shelf(folder) == BEFORE


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (part(system="Birch"), "no size of 'Birch' on the shelf"),
        (part(platform_width_mm=4.5), "no size of 'Alder' has a platform of 4.5 mm"),
    ],
)
def test_a_part_that_fits_nothing_is_refused(folder, row, says):
    change = import_shelf(ShelfFile(shelf(row)), folder=folder)
    assert says in str(change.problems[0])
    assert load_shelf(folder) == BEFORE


def test_parts_may_come_in_a_file_of_their_own(folder):
    change = import_shelf(ShelfFile(shelf(part("screw"))), folder=folder)
    assert not change.problems
    assert len(load_shelf(folder).parts) == 2


def test_a_failure_while_writing_leaves_the_shelf_as_it_was(folder, monkeypatch):
    class Broken:
        sizes = BEFORE.sizes
        parts = (object(),)

    change = plan_change(BEFORE, ShelfFile(Shelf()))
    monkeypatch.setattr(
        "identify.shelf_store.plan_change",
        lambda *_, **__: type(change)(Broken(), 1, 0, 0, 0, ()),
    )
    with pytest.raises(AttributeError):
        import_shelf(ShelfFile(Shelf()), folder=folder)
    monkeypatch.undo()
    assert load_shelf(folder) == BEFORE


def test_a_row_this_program_cannot_read_is_said_so(folder):
    with open_database(folder) as connection:
        connection.execute("UPDATE shelf_size SET row = '{}'")
    with pytest.raises(BadInput, match="earlier export with '--replace'"):
        load_shelf(folder)
    import_shelf(ShelfFile(BEFORE), replace=True, folder=folder)
    assert load_shelf(folder) == BEFORE


def test_clearing_takes_everything_off(folder):
    clear_shelf(folder)
    assert load_shelf(folder) == Shelf()


def test_the_counts_are_said_in_words():
    assert plan_change(BEFORE, ShelfFile(shelf(size("4.0"), part("screw")))).sentence == (
        "1 new, 1 as before"
    )
    assert plan_change(Shelf(), ShelfFile(Shelf())).sentence == "no rows"


def test_a_big_shelf_imports_at_once(tmp_path):
    rows = "".join(f"size,S{n},tri_channel,{n},4.{n % 10},8 10 12\n" for n in range(1000))
    text = "row,system,family,size,platform_width_mm,lengths_mm\n" + rows
    file = read_shelf_file(text.encode(), "a.csv", NOTES)
    assert import_shelf(file, folder=tmp_path).new == 1000
    assert len(load_shelf(tmp_path).sizes) == 1000
