"""Run the command line: as a process of its own, or here where a process would only cost time."""

import contextlib
import io
import os
import subprocess
import sys
from pathlib import Path

from identify import cli

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "sample_images" / "demo"
FILM = min(DEMO.glob("*.png"))
MARKS = FILM.with_suffix(".marks.json")


def radiofixture(*arguments, cwd=ROOT, **environment):
    python_path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    return subprocess.run(
        [sys.executable, "-m", "identify.cli", *map(str, arguments)],
        cwd=cwd,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=os.environ | {"PYTHONPATH": python_path, "PYTHONIOENCODING": "utf-8"} | environment,
        check=False,
        timeout=120,
    )


def radiofixture_here(*arguments):
    """The same, in this process: what `main` does short of leaving."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = cli.run([str(argument) for argument in arguments])
    return subprocess.CompletedProcess(arguments, code, out.getvalue(), err.getvalue())


def assert_refused(done, *says):
    assert done.returncode == 2, done
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1, done.stderr
    assert done.stderr.startswith("radiofixture: ")
    assert "Traceback" not in done.stderr
    for words in says:
        assert words in done.stderr
