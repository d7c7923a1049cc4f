"""What every command does at its end: a table or JSON, and one line where something failed."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

BAD_INPUT, SOME_FAILED = 2, 3

JsonOption = Annotated[
    Path | None,
    typer.Option("--json", metavar="PATH", help="Write JSON here; - is standard output alone."),
]


def deliver(
    data: dict[str, Any], json_path: Path | None, show: Callable[[dict[str, Any]], None]
) -> None:
    """JSON alone on standard output for ``-``; else the table, and JSON into a file if asked."""
    text = json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) if json_path else ""
    if str(json_path) == "-":
        typer.echo(text)
        return
    if json_path is not None:
        write_text(text + "\n", json_path)
    show(data)


def write_text(text: str, path: Path) -> None:
    """Write a text file, or refuse in one sentence."""
    write_bytes(text.encode("utf-8"), path)


def write_bytes(data: bytes, path: Path) -> None:
    """Write a file, or refuse in one sentence."""
    from features.input_file import BadInput  # noqa: PLC0415 - keeps `--help` quick

    try:
        path.write_bytes(data)
    except OSError as error:
        raise BadInput(
            f"{path}: cannot be written ({error.strerror}); name a file in a folder that exists."
        ) from None


def one_line(sentence: str, code: int) -> int:
    """Say one line on standard error, and return the exit code."""
    print("radiofixture: " + " ".join(sentence.split()), file=sys.stderr)  # noqa: T201 - the way out
    return code
