"""The casebook loses nothing: to no other window, full disk, killed program or old file."""

from __future__ import annotations

import hashlib
import sqlite3
import time

import numpy as np
import pytest

from features.input_file import BadInput
from identify import database
from identify.casebook import Casebook, EditedElsewhere
from identify.database import open_database
from identify.kept_case import case_from_json, case_to_json
from tests.identify.kept_cases import some_case, started, unfilmed_case
from tests.identify.killing import check_nothing_lost, edit_and_kill

KILLS = 10  # tests/benchmarks/killed.py does a hundred


@pytest.fixture
def book(tmp_path):
    return Casebook(tmp_path)


def test_a_case_comes_back_as_it_was_saved_after_the_program_was_closed(tmp_path, book):
    first = started(book)
    noted = first.case.model_copy(update={"notes": "ü, ç, 王"})
    book.save(first.key, noted, "note", after=1)
    assert Casebook(tmp_path).load(first.key).case == noted


def test_every_step_stays_and_going_back_is_a_step_of_its_own(book):
    first = started(book)
    changed = first.case.model_copy(update={"status": "bench"})
    book.save(first.key, changed, "measured", after=1)
    back = book.go_back(first.key, 1, after=2)
    assert back.case == first.case
    assert [step.what for step in book.history(first.key)] == [
        "case opened",
        "measured",
        "back to step 1",
    ]
    assert book.load(first.key, 2).case == changed


def test_two_windows_on_one_case_do_not_overwrite_each_other(tmp_path, book):
    first = started(book)
    other = Casebook(tmp_path)
    other.save(first.key, first.case.model_copy(update={"notes": "theirs"}), "note", after=1)
    mine = first.case.model_copy(update={"notes": "mine"})
    with pytest.raises(EditedElsewhere, match="changed in another window"):
        book.save(first.key, mine, "note", after=1)
    assert book.load(first.key).case.notes == "theirs"
    book.save(first.key, mine, "note", after=2)
    assert [book.load(first.key, n).case.notes for n in (2, 3)] == ["theirs", "mine"]


def test_a_case_deleted_elsewhere_is_not_brought_back_unnoticed(tmp_path, book):
    first = started(book)
    Casebook(tmp_path).delete(first.key)
    with pytest.raises(EditedElsewhere, match="deleted in another window"):
        book.save(first.key, first.case, "note", after=1)


@pytest.mark.parametrize(
    ("words", "found"), [("", 2), ("36", 2), ("müller", 1), ("36 MÜLLER", 1), ("nobody", 0)]
)
def test_cases_are_found_by_any_word_in_them(book, words, found):
    started(book, pseudonym="Fall Müller")
    started(book, pseudonym="other")
    assert len(book.find(words)) == found


def test_a_case_without_a_film_is_found_by_its_tooth_and_by_having_none(book):
    without = book.start(unfilmed_case())
    started(book)
    assert [saved.key for saved in book.find("no film 36")] == [without.key]


def test_a_case_without_a_film_is_kept_only_at_a_tooth_there_is():
    kept = case_to_json(unfilmed_case()).replace('"36"', '"99"')
    with pytest.raises(BadInput, match="FDI tooth number"):
        case_from_json(kept, "a case")


def test_the_case_changed_last_stands_first(book):
    first, second = started(book), started(book)
    time.sleep(0.003)  # times are kept to the millisecond
    book.save(first.key, first.case, "again", after=1)
    assert [saved.key for saved in book.find()] == [first.key, second.key]


def test_what_was_answered_is_kept_with_its_versions(book):
    first = started(book)
    ranking = {"ranking": [{"family": "ceramic", "probability": 0.9}]}
    book.note_ranking(first.key, 1, "A", ranking, ["radiofixture 0.1.0", "notes abc"])
    assert book.rankings(first.key) == (
        {
            "step": 1,
            "label": "A",
            "ranking": ranking,
            "versions": ["radiofixture 0.1.0", "notes abc"],
        },
    )


def test_delete_leaves_no_trace_in_any_file(tmp_path, book):
    gone = started(book, pseudonym="Zwetschgenbaum", seed=5)
    kept = started(book, pseudonym="other", seed=6)
    book.delete(gone.key)
    everything = b"".join(path.read_bytes() for path in tmp_path.rglob("*") if path.is_file())
    assert b"Zwetschgenbaum" not in everything
    assert book.films.names() == kept.case.files
    with pytest.raises(BadInput, match="no case"):
        book.load(gone.key)


def test_a_film_two_cases_share_outlives_one_of_them(book):
    first, second = started(book, seed=5), started(book, seed=5)
    book.delete(first.key)
    assert book.films.names() == second.case.files


@pytest.fixture
def limited(monkeypatch):
    """Every connection from now on under this pragma."""

    def limit(pragma):
        plain = database._connect

        def connect(path):
            connection = plain(path)
            connection.execute(pragma)
            return connection

        monkeypatch.setattr(database, "_connect", connect)

    return limit


def test_a_full_disk_is_one_sentence_and_loses_nothing(book, limited, monkeypatch):
    first = started(book)
    long = first.case.model_copy(update={"notes": "x" * 19000})
    limited("PRAGMA max_page_count = 1")
    with pytest.raises(BadInput, match="disk is full; free some space"):
        book.save(first.key, long, "note", after=1)
    assert book.load(first.key).case == first.case
    monkeypatch.undo()
    assert book.save(first.key, long, "note", after=1).step.number == 2


def test_a_film_that_does_not_fit_on_the_disk_leaves_no_half_of_it(book, monkeypatch):
    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(BadInput, match="No space left"):
        some_case(book)
    assert not list(book.films.folder.iterdir())


def test_a_read_only_folder_is_one_sentence_and_can_still_be_read(book, limited):
    first = started(book)
    limited("PRAGMA query_only = ON")
    with pytest.raises(BadInput, match="check the folder, or name another"):
        book.save(first.key, first.case, "note", after=1)
    assert book.load(first.key).case == first.case


def test_cases_of_the_first_schema_are_brought_up_to_date(tmp_path, monkeypatch):
    older = tmp_path / "scripts"
    older.mkdir()
    for script in sorted(database.MIGRATIONS.glob("*.sql"))[:2]:
        (older / script.name).write_text(script.read_text())
    with monkeypatch.context() as then:
        then.setattr(database, "MIGRATIONS", older)
        with open_database(tmp_path) as base:
            at = "2026-01-01 10:00:00.000"
            base.execute("INSERT INTO cases VALUES ('k', ?)", (at,))
            base.execute("INSERT INTO steps VALUES ('k', 1, ?, 'old', '{}')", (at,))
    book = Casebook(tmp_path)
    assert book.load("k").step.what == "old"
    assert book.rankings("k") == ()


def test_a_second_films_name_kept_by_an_earlier_version_is_taken_out(tmp_path, monkeypatch):
    older = tmp_path / "scripts"
    older.mkdir()
    for script in sorted(database.MIGRATIONS.glob("*.sql"))[:3]:
        (older / script.name).write_text(script.read_text())
    some = some_case(Casebook(tmp_path / "elsewhere"))
    named = case_to_json(some).replace('"facts": {', '"facts": {"second film A": "Erika.png"')
    assert "Erika" in named
    with monkeypatch.context() as then:
        then.setattr(database, "MIGRATIONS", older)
        with open_database(tmp_path) as base:
            base.execute("INSERT INTO cases VALUES ('k', 't')")
            base.execute("INSERT INTO steps VALUES ('k', 1, 't', 'old', ?)", (named,))
    book = Casebook(tmp_path)
    assert book.load("k").case == some
    assert "Erika" not in str(book.steps_json("k"))


# A released script must never change, or a user's file and ours part ways unnoticed.
RELEASED = {
    "0002_casebook.sql": "5019d9bdd987c8eb",
    "0003_rankings.sql": "de953c6abbf7e945",
    "0004_no_file_names.sql": "09cec56eeebe5919",
}


@pytest.mark.parametrize("name", RELEASED)
def test_a_released_schema_stays_as_it_was(name):
    script = (database.MIGRATIONS / name).read_bytes()
    assert hashlib.sha256(script).hexdigest()[:16] == RELEASED[name]


def test_a_backup_opens_as_a_casebook(tmp_path, book):
    first = started(book)
    (tmp_path / "copy").mkdir()
    book.back_up(tmp_path / "copy" / "radiofixture.db")
    assert Casebook(tmp_path / "copy").load(first.key).case == first.case


def test_killed_at_any_moment_no_case_is_lost_and_what_was_said_to_be_saved_is(tmp_path):
    dice = np.random.default_rng(7)
    for turn in range(KILLS):
        said = edit_and_kill(tmp_path, 0.02 + 0.3 * dice.uniform())
        check_nothing_lost(tmp_path, said, turn)


def test_sqlite_here_has_strict_tables():
    assert sqlite3.sqlite_version_info >= (3, 37), "the casebook's tables are STRICT"
