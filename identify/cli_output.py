"""Where a command's answer goes: a table for people, JSON for programs, or both."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import typer


def deliver(data: dict[str, Any], json_path: Path | None, show: Any) -> None:
    """JSON alone on standard output for ``-``; else the table, and JSON into a file if asked."""
    if json_path is not None and str(json_path) == "-":
        typer.echo(json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False))
        return
    if json_path is not None:
        _write_json(data, json_path)
    show(data)


def _write_json(data: dict[str, Any], path: Path) -> None:
    from features.input_file import BadInput  # noqa: PLC0415 - only on the way out

    text = json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)
    try:
        path.write_text(text + "\n", encoding="utf-8")
    except OSError as error:
        raise BadInput(
            f"{path}: cannot be written ({error.strerror}); name a file in a folder that exists."
        ) from None
