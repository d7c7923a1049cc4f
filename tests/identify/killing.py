"""Kill a program while it edits cases, and see what is left."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

from identify.casebook import Casebook
from identify.database import open_database

ROOT = Path(__file__).resolve().parents[2]


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
    with open_database(folder) as base:
        assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    for key, number in said.items():
        saved = book.load(key)
        assert number <= saved.step.number <= number + 1, f"turn {turn}"
        assert saved.case.notes == f"edit {saved.step.number}"
        for film in saved.case.films:
            book.films.get(film.film)
    assert len(book.find()) >= len(said)
