"""Which knowledge answered: a short hash over all reference notes."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[1] / "reference_notes"
SHOWN = 12  # hex digits; enough to tell versions apart


@cache
def notes_version(folder: Path = FOLDER) -> str:
    """Return the first digits of a SHA-256 over every note, by name and content."""
    whole = hashlib.sha256()
    for path in sorted(p for p in folder.rglob("*") if p.suffix in (".md", ".toml")):
        whole.update(path.relative_to(folder).as_posix().encode())
        whole.update(hashlib.sha256(path.read_bytes()).digest())
    return whole.hexdigest()[:SHOWN]
