"""Notes and restoration.toml turned into objects, strictly: one sentence for what is wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import Field

from features.input_file import StrictModel
from identify.checklist import Checklist
from identify.checklist_file import parse_toml, read_fact, read_text, validated
from identify.note import (
    GROUPS,
    BadNote,
    Fact,
    Family,
    Group,
    IndexState,
    Indication,
    LookAlike,
    Making,
    Option,
    Restoring,
    Retention,
    Standed,
    Verdict,
    Visible,
    checked_distribution,
)
from identify.rules import Rules

FENCE = "+++\n"
HEADINGS = (
    "How it looks",
    "Look-alikes",
    "Confirm in the mouth",
    "Restoring it",
    "Cautions",
)
RIVALS = ("none_of_these", "not_an_implant")


class _OptionRow(Standed):
    """A row of an options table; several ways of making may share it."""

    indication: Indication
    retention: Retention
    making: tuple[Making, ...] = Field(min_length=1)
    verdict: Verdict
    reason: str = Field(min_length=10)
    index: str | None = None


class _RestoringTable(StrictModel):
    """`like` names the connection group whose options hold unless a row of its own says else."""

    like: Group | None = None
    index: IndexState
    supply: str
    options: tuple[_OptionRow, ...] = ()
    checks: tuple[str, ...]
    cautions: tuple[str, ...]
    stop: str = ""


class _Note(StrictModel):
    """The TOML head of a note, before its facts are held against the checklist."""

    key: str
    title: str = Field(min_length=5)
    era: str = Field(min_length=2)
    body: str = Field(min_length=5)
    connection: Mapping[str, float] | None = None
    facts: Mapping[str, Mapping[str, Any]] | None = None
    visible: Mapping[str, Visible] = Field(default_factory=dict)
    lookalikes: tuple[LookAlike, ...] = ()
    restoring: _RestoringTable | None = None


def read_rules(path: Path) -> Rules:
    """Read restoration.toml."""
    data = parse_toml(read_text(path, path.name), path.name)
    groups = {
        group: _expand(
            validated(_OptionRow, row, f"{path.name}: groups.{group}[{number}]")
            for number, row in enumerate(rows)
        )
        for group, rows in data.get("groups", {}).items()
    }
    return validated(Rules, data | {"groups": groups}, path.name)


def _expand(rows: Iterator[_OptionRow] | Sequence[_OptionRow]) -> tuple[Option, ...]:
    return tuple(
        Option.model_validate(row.model_dump() | {"making": making})
        for row in rows
        for making in row.making
    )


def read_note(path: Path, checklist: Checklist, rules: Rules) -> Family:
    """Read one note of families/ or rivals/."""
    what = f"{path.parent.name}/{path.name}"
    head, prose = _split(read_text(path, what), what)
    note = validated(_Note, parse_toml(head, what), what)
    if note.key != path.stem:
        raise BadNote(f"{what}: 'key' is '{note.key}'; make it the file's name, '{path.stem}'.")
    is_rival = path.parent.name == "rivals"
    _check_shape(note, what, is_rival=is_rival)
    return Family(
        key=note.key,
        title=note.title,
        era=note.era,
        body=note.body,
        connection=_connection(note.connection, what),
        facts=_facts(note, checklist, what),
        visible=_visible(note, what),
        lookalikes=_lookalikes(note, what),
        restoring=_restoring(note.restoring, rules, f"{what}: restoring"),
        prose=_sections(prose, what, HEADINGS[:1] if is_rival else HEADINGS),
    )


def _split(text: str, what: str) -> tuple[str, str]:
    parts = text.split(FENCE, 2)
    if len(parts) < 3 or parts[0].strip():
        raise BadNote(f"{what}: the facts are missing; put them first, between two lines of +++.")
    return parts[1], parts[2]


def _check_shape(note: _Note, what: str, *, is_rival: bool) -> None:
    """Refuse a rival with a connection or anything to restore, and a family without."""
    for entry in ("connection", "restoring"):
        stated = getattr(note, entry) is not None
        if stated and is_rival:
            raise BadNote(f"{what}: '{entry}' does not belong in a rival's note; remove it.")
        if not stated and not is_rival:
            raise BadNote(f"{what}: '{entry}' is missing; add it.")
    if (note.facts is not None) == (note.key == "none_of_these"):
        way_out = "its facts are 'broad' in checklist.toml" if note.facts else "add its table"
        raise BadNote(f"{what}: 'facts' does not fit this note; {way_out}.")


def _connection(shares: Mapping[str, float] | None, what: str) -> Mapping[Group, float]:
    if shares is None:
        return {}
    for group in (*shares, *GROUPS):
        if group not in GROUPS:
            raise BadNote(f"{what}: 'connection.{group}' is not a known entry; remove it.")
        if group not in shares:
            raise BadNote(f"{what}: 'connection.{group}' is missing; give its probability.")
    try:
        checked_distribution(shares)
    except ValueError as error:
        raise BadNote(f"{what}: 'connection': {error}.") from None
    return {group: shares[group] for group in GROUPS}


def _facts(note: _Note, checklist: Checklist, what: str) -> Mapping[str, Fact]:
    items = checklist.items
    if note.facts is None:
        return {item.key: item.broad for item in items.values()}
    for key in note.facts:
        if key not in items:
            raise BadNote(f"{what}: 'facts.{key}' is not a known entry; see checklist.toml.")
    for item in items.values():
        if item.needed and item.key not in note.facts:
            raise BadNote(f"{what}: 'facts.{item.key}' is missing; every note must state it.")
    return {
        key: read_fact(
            row, f"{what}: facts.{key}", states=items[key].states, silent=items[key].silent
        )
        for key, row in note.facts.items()
    }


def _visible(note: _Note, what: str) -> Mapping[str, Visible]:
    for key in note.visible:
        if key not in (note.facts or {}):
            raise BadNote(f"{what}: 'visible.{key}' is about no fact of this note; remove it.")
    return note.visible


def _lookalikes(note: _Note, what: str) -> tuple[LookAlike, ...]:
    keys = [alike.key for alike in note.lookalikes]
    for key in keys:
        if key == note.key or keys.count(key) > 1:
            fault = "is the family itself" if key == note.key else "stands twice"
            raise BadNote(f"{what}: look-alike '{key}' {fault}; remove it.")
    return note.lookalikes


def _restoring(table: _RestoringTable | None, rules: Rules, what: str) -> Restoring | None:
    if table is None:
        return None
    own = _expand(table.options)
    named = {(row.indication, row.retention, row.making) for row in own}
    shared = rules.groups.get(table.like, ()) if table.like else ()
    kept = tuple(o for o in shared if (o.indication, o.retention, o.making) not in named)
    data = table.model_dump(exclude={"like", "options"}) | {"options": own + kept}
    return validated(Restoring, data, what)


def _sections(prose: str, what: str, needed: Sequence[str]) -> Mapping[str, str]:
    sections = {}
    for chunk in f"\n{prose}".split("\n## ")[1:]:
        heading, _, text = chunk.partition("\n")
        sections[heading.strip()] = text.strip()
    for heading in needed:
        if not sections.get(heading):
            raise BadNote(f"{what}: the heading '## {heading}' is missing or empty; write it.")
    for heading in sections:
        if heading not in HEADINGS:
            raise BadNote(f"{what}: '## {heading}' is not a known entry; remove it.")
    return sections
