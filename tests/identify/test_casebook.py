"""The casebook loses nothing: to no other window, full disk, killed program or old file."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from features.input_file import BadInput
from identify.casebook import Casebook, EditedElsewhere
from identify.casebook_tables import MIGRATIONS, VERSION_1
from identify.database import DataProblem, open_database
from tests.identify.kept_cases import some_case, started

ROOT = Path(__file__).resolve().parents[2]
KILLS = 10  # tests/benchmarks/killed.py does a hundred


@pytest.fixture
def book(tmp_path):
    opened = Casebook(tmp_path)
    yield opened
    opened.close()


def test_a_case_comes_back_as_it_was_saved_after_the_program_was_closed(tmp_path, book):
    first = started(book)
    noted = first.case.model_copy(update={"notes": "ü, ç, 王"})
    book.save(first.key, noted, "note", after=1)
    book.close()
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


def test_a_full_disk_is_one_sentence_and_loses_nothing(book):
    first = started(book)
    pages = book._base.execute("PRAGMA page_count").fetchone()[0]
    book._base.execute(f"PRAGMA max_page_count = {pages}")
    long = first.case.model_copy(update={"notes": "x" * 19000})
    with pytest.raises(DataProblem, match="disk is full; free some space"):
        book.save(first.key, long, "note", after=1)
    assert book.load(first.key).case == first.case
    book._base.execute("PRAGMA max_page_count = 100000")
    assert book.save(first.key, long, "note", after=1).step.number == 2


def test_a_film_that_does_not_fit_on_the_disk_leaves_no_half_of_it(book, monkeypatch):
    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(DataProblem, match="No space left"):
        some_case(book)
    assert not list(book.films.folder.iterdir())


def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(DataProblem, match=r"another folder with RADIOFIXTURE_DATA"):
        Casebook(tmp_path / "file")


def test_a_read_only_database_is_one_sentence_and_can_still_be_read(book):
    first = started(book)
    book._base.execute("PRAGMA query_only = ON")
    with pytest.raises(DataProblem, match="cannot be written"):
        book.save(first.key, first.case, "note", after=1)
    assert book.load(first.key).case == first.case


def test_a_file_that_is_no_database_is_left_alone(tmp_path):
    (tmp_path / "radiofixture.db").write_bytes(b"not a database, but somebody's letter" * 99)
    with pytest.raises(DataProblem, match="no database; move it away"):
        Casebook(tmp_path)
    assert (tmp_path / "radiofixture.db").read_bytes().startswith(b"not a database")


def test_every_earlier_schema_is_brought_up_to_date_with_its_cases(tmp_path):
    for version in range(1, len(MIGRATIONS["casebook"])):
        folder = tmp_path / str(version)
        old = open_database({"casebook": MIGRATIONS["casebook"][:version]}, folder)
        old.execute("INSERT INTO cases VALUES ('k', '2026-01-01 10:00:00.000')")
        old.execute(
            "INSERT INTO steps VALUES ('k', 1, '2026-01-01 10:00:00.000', 'old', ?)", ("{}",)
        )
        old.close()
        book = Casebook(folder)
        assert book.load("k").step.what == "old"
        assert book.rankings("k") == ()
        book.close()


def test_the_first_schema_is_what_was_first_released():
    # a released script must never change, or a user's file and ours part ways unnoticed
    assert "rankings" not in VERSION_1
    assert VERSION_1.count("CREATE TABLE") == 2


def test_a_newer_schema_is_refused_and_not_touched(tmp_path):
    more = (*MIGRATIONS["casebook"], "CREATE TABLE later (a TEXT) STRICT;")
    open_database({"casebook": more}, tmp_path).close()
    with pytest.raises(DataProblem, match="a newer Radiofixture wrote this casebook"):
        Casebook(tmp_path)


def test_a_migration_that_fails_leaves_the_old_schema_whole(tmp_path):
    broken = (*MIGRATIONS["casebook"], "CREATE TABLE x (a TEXT) STRICT; NONSENSE;")
    Casebook(tmp_path).close()
    with pytest.raises(DataProblem):
        open_database({"casebook": broken}, tmp_path)
    book = Casebook(tmp_path)
    tables = book._base.execute("SELECT name FROM sqlite_master").fetchall()
    assert ("x",) not in tables


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


def edit_and_kill(folder: Path, seconds: float) -> dict[str, int]:
    """Let a program edit cases until it is killed; return the steps it had said were saved."""
    editor = subprocess.Popen(
        [sys.executable, str(ROOT / "tests" / "identify" / "editing.py"), str(folder)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert editor.stdout
    said: dict[str, int] = {}
    assert editor.stdout.readline() == "ready\n"
    time.sleep(seconds)
    editor.send_signal(signal.SIGKILL)
    for line in editor.stdout:
        if line.endswith("\n"):
            key, number = line.split()
            said[key] = int(number)
    editor.wait()
    return said


def check_nothing_lost(folder: Path, said: dict[str, int], turn: int) -> None:
    book = Casebook(folder)
    assert book._base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    for key, number in said.items():
        saved = book.load(key)
        assert number <= saved.step.number <= number + 1, f"turn {turn}"
        assert saved.case.notes == f"edit {saved.step.number}"
        for film in saved.case.films:
            book.films.get(film.film)
    assert len(book.find()) >= len(said)
    book.close()


def test_sqlite_here_has_strict_tables():
    assert sqlite3.sqlite_version_info >= (3, 37), "the casebook's tables are STRICT"
