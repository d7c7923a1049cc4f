"""reference_notes/ as frozen objects: what is known of implant families, read strictly.

How the files are written stands in reference_notes/FORMAT.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import ParamSpec, TypeVar

from features.input_file import StrictModel
from identify.checklist import Checklist, ChecklistItem
from identify.checklist_file import read_checklist, read_sources
from identify.note import (
    BadNote,
    Fact,
    Family,
    LookAlike,
    NumberFact,
    Option,
    Restoring,
    Source,
    Standed,
    StateFact,
)
from identify.note_file import RIVALS, read_note, read_rules
from identify.rules import Rules
from identify.shelf_rules import ShelfRules, read_shelf_rules

__all__ = [
    "BadNote",
    "Checklist",
    "ChecklistItem",
    "Fact",
    "Family",
    "LookAlike",
    "Notes",
    "NumberFact",
    "Option",
    "Restoring",
    "Rules",
    "ShelfRules",
    "Source",
    "StateFact",
    "check_notes",
    "load_notes",
]

FOLDER = Path(__file__).resolve().parents[1] / "reference_notes"
Arguments = ParamSpec("Arguments")
Result = TypeVar("Result")


class Notes(StrictModel):
    """Everything in reference_notes/."""

    families: Mapping[str, Family]
    rivals: Mapping[str, Family]
    checklist: Checklist
    sources: Mapping[str, Source]
    rules: Rules
    shelf: ShelfRules


def load_notes(folder: Path | None = None) -> Notes:
    """Read all notes, once for each folder.

    Parameters
    ----------
    folder : Path, optional
        Another folder of the same make; reference_notes beside the package where left out.

    Raises
    ------
    BadNote
        The first thing wrong: file, entry and the way out in one sentence.
    """
    return _load(folder or FOLDER)


@cache
def _load(folder: Path) -> Notes:
    notes = _read(folder)
    for problem in _disagreements(notes):
        raise BadNote(problem)
    return notes


def _read(folder: Path) -> Notes:
    checklist = read_checklist(folder / "checklist.toml")
    rules = read_rules(folder / "restoration.toml")

    def read_all(kind: str) -> Mapping[str, Family]:
        return {path.stem: read_note(path, checklist, rules) for path in _files(folder, kind)}

    return Notes.model_construct(
        families=read_all("families"),
        rivals=read_all("rivals"),
        checklist=checklist,
        rules=rules,
        shelf=read_shelf_rules(folder / "shelf.toml"),
        sources=read_sources(folder / "sources.toml"),
    )


def _files(folder: Path, kind: str) -> list[Path]:
    return sorted((folder / kind).glob("*.md"))


def check_notes(folder: Path | None = None) -> list[str]:
    """Find everything wrong with a folder of notes: one sentence each, none when all is well."""
    folder = folder or FOLDER
    problems: list[str] = []
    checklist = _attempt(problems, read_checklist, folder / "checklist.toml")
    rules = _attempt(problems, read_rules, folder / "restoration.toml")
    _attempt(problems, read_sources, folder / "sources.toml")
    _attempt(problems, read_shelf_rules, folder / "shelf.toml")
    if checklist and rules:
        for path in [*_files(folder, "families"), *_files(folder, "rivals")]:
            _attempt(problems, read_note, path, checklist, rules)
    return problems or list(_disagreements(_read(folder)))


def _attempt(
    problems: list[str],
    read: Callable[Arguments, Result],
    *args: Arguments.args,
    **more: Arguments.kwargs,
) -> Result | None:
    try:
        return read(*args, **more)
    except BadNote as error:
        problems.append(str(error))
        return None


def _disagreements(notes: Notes) -> Iterator[str]:
    """Yield what no single file can know: sources, look-alikes, the two rivals."""
    yield from _missing_sources(notes)
    yield from _odd_lookalikes(notes.families)
    for key in RIVALS:
        if key not in notes.rivals:
            yield f"rivals/{key}.md: this note is missing; restore it."
    for key in notes.rivals:
        if key not in RIVALS:
            yield f"rivals/{key}.md: only {' and '.join(RIVALS)} are rivals; move it to families/."
    if not notes.families:
        yield "families: there is no note; restore the folder."


def _missing_sources(notes: Notes) -> Iterator[str]:
    for where, fact in (*_standing_facts(notes), *_standing_on_shelf(notes.shelf)):
        if fact.source and fact.source not in notes.sources:
            yield f"{where}: there is no source '{fact.source}'; add it to sources.toml."


def _standing_facts(notes: Notes) -> Iterator[tuple[str, Standed]]:
    """Yield everything that says where it comes from, with its place."""
    for folder, group in (("families", notes.families), ("rivals", notes.rivals)):
        for family in group.values():
            yield from _standing_in_note(f"{folder}/{family.key}.md", family)
    for item in notes.checklist.items.values():
        yield f"checklist.toml: 'items.{item.key}.broad'", item.broad
    rules = notes.rules
    for table, rows in rules.standed.items():
        for number, row in enumerate(rows):
            yield f"restoration.toml: '{table}[{number}]'", row
    for name, options in rules.groups.items():
        for number, row in enumerate(options):
            yield f"restoration.toml: 'groups.{name}[{number}]'", row


def _standing_in_note(where: str, family: Family) -> Iterator[tuple[str, Standed]]:
    for key, fact in family.facts.items():
        yield f"{where}: 'facts.{key}'", fact
    for key, visible in family.visible.items():
        yield f"{where}: 'visible.{key}'", visible
    for number, option in enumerate(family.restoring.options if family.restoring else ()):
        yield f"{where}: 'restoring.options[{number}]'", option


def _standing_on_shelf(rules: ShelfRules) -> Iterator[tuple[str, Standed]]:
    for key in type(rules.matching).model_fields:
        yield f"shelf.toml: 'matching.{key}'", getattr(rules.matching, key)
    for name, screw in rules.screws.items():
        yield f"shelf.toml: 'screws.{name}'", screw


def _odd_lookalikes(families: Mapping[str, Family]) -> Iterator[str]:
    for family in families.values():
        for alike in family.lookalikes:
            where = f"families/{family.key}.md: look-alike '{alike.key}'"
            if alike.key not in families:
                yield f"{where} has no note; correct the key or write the note."
                continue
            back = [back for back in families[alike.key].lookalikes if back.key == family.key]
            if not back:
                yield f"{where} does not name this family in return; add it to that note."
            elif back[0].inseparable != alike.inseparable:
                yield f"{where}: the two notes differ on 'inseparable'; make them agree."
