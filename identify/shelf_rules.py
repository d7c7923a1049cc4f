"""shelf.toml: how a practice's shelf is held against what was measured."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from pydantic import Field

from features.input_file import StrictModel
from identify.checklist_file import parse_toml, read_text, validated
from identify.note import Setting, Standed


class Matching(StrictModel):
    """How near a written size comes to the thing itself (standard deviations), and two shares."""

    prior_other: Setting
    platform_std_mm: Setting
    body_std_mm: Setting
    length_std_mm: Setting
    screw_std_mm: Setting
    pitch_std_mm: Setting
    body_beside_platform_std_mm: Setting
    index_as_written: Setting


class Screw(Standed):
    """A standard thread by its name."""

    major_mm: float = Field(gt=0)
    pitch_mm: float = Field(gt=0)


class PartKinds(StrictModel):
    """Kinds of part beyond those that restoration.toml asks for."""

    kinds: tuple[str, ...]


class ShelfRules(StrictModel):
    """The whole file."""

    matching: Matching
    screws: Mapping[str, Screw]
    parts: PartKinds


def read_shelf_rules(path: Path) -> ShelfRules:
    """Read shelf.toml."""
    return validated(ShelfRules, parse_toml(read_text(path, path.name), path.name), path.name)
