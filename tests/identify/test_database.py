"""One database for all of the practice's own data: made, brought up to date, refused in words."""

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from features.input_file import BadInput
from identify import database
from identify.database import FILE, data_folder, open_database, transaction

ROOT = Path(__file__).resolve().parents[2]


def tables(connection):
    return {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}


def test_the_folder_is_the_one_named_in_the_environment(monkeypatch, tmp_path):
    monkeypatch.setenv(database.DATA_VARIABLE, str(tmp_path / "own"))
    assert data_folder() == tmp_path / "own"
    with open_database():
        pass
    assert (tmp_path / "own" / FILE).exists()


def test_without_it_the_folder_is_the_users_own(monkeypatch):
    monkeypatch.delenv(database.DATA_VARIABLE)
    assert "radiofixture" in str(data_folder()).lower()


def test_opening_makes_every_table_once_and_keeps_what_is_there(tmp_path):
    with open_database(tmp_path) as connection:
        assert "shelf_size" in tables(connection)
        connection.execute("INSERT INTO shelf_size VALUES ('a', 1, '{}')")
    with open_database(tmp_path) as connection:
        assert connection.execute("SELECT count(*) FROM shelf_size").fetchone() == (1,)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def later_script(monkeypatch, tmp_path, text):
    folder = tmp_path / "scripts"
    folder.mkdir()
    for script in database.MIGRATIONS.glob("*.sql"):
        (folder / script.name).write_text(script.read_text())
    (folder / "9999_later.sql").write_text(text)
    monkeypatch.setattr(database, "MIGRATIONS", folder)


def test_an_older_database_is_brought_up_to_date_with_its_rows(monkeypatch, tmp_path):
    with open_database(tmp_path) as connection:
        connection.execute("INSERT INTO shelf_size VALUES ('a', 1, '{}')")
    later_script(monkeypatch, tmp_path, "CREATE TABLE later (x);\nCREATE TABLE last (y);\n")
    with open_database(tmp_path) as connection:
        assert {"later", "last"} <= tables(connection)
        assert connection.execute("SELECT count(*) FROM shelf_size").fetchone() == (1,)


def test_a_script_that_fails_halfway_leaves_nothing_behind(monkeypatch, tmp_path):
    with open_database(tmp_path):
        pass
    later_script(monkeypatch, tmp_path, "CREATE TABLE later (x);\nNOT SQL;\n")
    with pytest.raises(BadInput, match="cannot be used"), open_database(tmp_path):
        pass
    monkeypatch.undo()
    with open_database(tmp_path) as connection:
        assert "later" not in tables(connection)


def test_data_of_a_newer_program_is_refused(tmp_path):
    with open_database(tmp_path) as connection:
        connection.execute("PRAGMA user_version = 999")
    with pytest.raises(BadInput, match="newer Radiofixture"), open_database(tmp_path):
        pass


def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path):
    (tmp_path / FILE).write_text("this is text, and long enough to be taken for a page of rows")
    with pytest.raises(BadInput, match="no database; move the file away"), open_database(tmp_path):
        pass
    assert (tmp_path / FILE).read_text().startswith("this is text")


def test_a_folder_that_cannot_be_made_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="name another"), open_database(tmp_path / "file"):
        pass


def test_a_transaction_that_fails_writes_nothing(tmp_path):
    def fail_halfway(connection):
        with transaction(connection):
            connection.execute("INSERT INTO shelf_size VALUES ('a', 1, '{}')")
            connection.execute("INSERT INTO shelf_size VALUES ('a', 1, '{}')")

    with pytest.raises(BadInput), open_database(tmp_path) as connection:
        fail_halfway(connection)
    with open_database(tmp_path) as connection:
        assert connection.execute("SELECT count(*) FROM shelf_size").fetchone() == (0,)


def test_a_reader_is_not_held_up_by_a_writer(tmp_path):
    with open_database(tmp_path) as writer, open_database(tmp_path) as reader:
        writer.execute("BEGIN IMMEDIATE")
        writer.execute("INSERT INTO shelf_size VALUES ('a', 1, '{}')")
        assert reader.execute("SELECT count(*) FROM shelf_size").fetchone() == (0,)
        writer.execute("COMMIT")


def test_two_writers_at_once_are_told_so(monkeypatch, tmp_path):
    monkeypatch.setattr(database, "PATIENCE_S", 0.05)
    with open_database(tmp_path) as first:
        first.execute("BEGIN IMMEDIATE")
        with (
            pytest.raises(BadInput, match="locked"),
            open_database(tmp_path) as second,
            transaction(second),
        ):
            pass


def test_processes_that_open_a_new_database_at_once_all_find_it_whole(tmp_path):
    code = (
        "import sys; from pathlib import Path; from identify.database import open_database\n"
        "with open_database(Path(sys.argv[1])) as c: c.execute('SELECT * FROM shelf_part')"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    running = [
        subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True) for _ in range(4)
    ]
    said = [one.communicate(timeout=60)[1] for one in running]
    assert [one.returncode for one in running] == [0] * 4, said


def test_the_database_is_sqlite_that_any_tool_opens(tmp_path):
    with open_database(tmp_path):
        pass
    plain = sqlite3.connect(tmp_path / FILE)
    assert plain.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    plain.close()
