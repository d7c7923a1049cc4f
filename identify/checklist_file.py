"""checklist.toml, sources.toml and single facts turned into objects, strictly."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel

from features.input_file import BadInput, check
from identify.checklist import Checklist, ChecklistItem
from identify.note import BadNote, Fact, NumberFact, Source, Standed, StateFact

# A silent state gets this share in every family alike, so that seeing it weighs exactly nothing.
SILENT_SHARE = 0.5

Model = TypeVar("Model", bound=BaseModel)


def validated(model: type[Model], data: Any, what: str) -> Model:
    """Check as `features.input_file.check` does, but complain as a note."""
    try:
        return check(model, data, what)
    except BadInput as error:
        raise BadNote(str(error)) from None


def parse_toml(text: str, what: str) -> dict[str, Any]:
    """Parse TOML; `what` names the file to a person."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadNote(f"{what}: this is not TOML ({error}); correct that place.") from None


def read_text(path: Path, what: str) -> str:
    """Read a note's text as UTF-8."""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BadNote(f"{what}: this file cannot be read ({error}); restore it.") from None


def read_sources(path: Path) -> Mapping[str, Source]:
    """Read sources.toml: key to source."""
    data = parse_toml(read_text(path, path.name), path.name)
    return {key: validated(Source, row, f"{path.name}: {key}") for key, row in data.items()}


def read_checklist(path: Path) -> Checklist:
    """Read checklist.toml."""
    data = parse_toml(read_text(path, path.name), path.name)
    rows = data.pop("items", {})
    items = {key: _read_item(key, row, f"{path.name}: items.{key}") for key, row in rows.items()}
    weighing = data.pop("weighing", {})
    weighing |= {key: data.pop(key, []) for key in ("inquiries", "exposures")}
    if data:
        raise BadNote(f"{path.name}: '{next(iter(data))}' is not a known entry; remove it.")
    return validated(Checklist, weighing | {"items": items}, f"{path.name}: weighing")


def _read_item(key: str, row: Mapping[str, Any], what: str) -> ChecklistItem:
    if not isinstance(row.get("broad"), dict):
        raise BadNote(f"{what}: 'broad' is missing; say what \"none of these\" expects.")
    states, silent = row.get("states", ()), row.get("silent", ())
    broad = read_fact(row["broad"], f"{what}.broad", states=states, silent=silent)
    return validated(ChecklistItem, {**row, "key": key, "broad": broad}, what)


def read_fact(
    row: Mapping[str, Any], what: str, *, states: Sequence[str], silent: Sequence[str]
) -> Fact:
    """Read one fact: a range where the item has no states, else a probability for each state."""
    if not states:
        return validated(NumberFact, row, what)
    words = StateFact.model_fields.keys() & Standed.model_fields.keys()
    said = {key: value for key, value in row.items() if key in words}
    given = {key: value for key, value in row.items() if key not in words}
    _check_states(given, [state for state in states if state not in silent], what)
    fact = validated(StateFact, said | {"probabilities": given}, what)
    return _with_silent(fact, silent) if silent else fact


def _check_states(given: Mapping[str, Any], states: Sequence[str], what: str) -> None:
    for state in given:
        if state not in states:
            raise BadNote(f"{what}: '{state}' is not a known entry; use {', '.join(states)}.")
    for state in states:
        if state not in given:
            raise BadNote(f"{what}: '{state}' is missing; give its probability.")


def _with_silent(fact: StateFact, silent: Sequence[str]) -> StateFact:
    shares = {state: (1 - SILENT_SHARE) * p for state, p in fact.probabilities.items()}
    shares |= dict.fromkeys(silent, SILENT_SHARE / len(silent))
    return fact.model_copy(update={"probabilities": shares})
