"""Facts of the families' notes as the plain dicts the package takes."""

import tomllib
from pathlib import Path

FAMILIES = Path(__file__).parents[2] / "reference_notes" / "families"
KEYS = tuple(sorted(path.stem for path in FAMILIES.glob("*.md")))


def facts_of(key):
    """The `[facts]` table of one note."""
    text = (FAMILIES / f"{key}.md").read_text(encoding="utf-8")
    return tomllib.loads(text.split("+++")[1])["facts"]
