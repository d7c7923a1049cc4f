"""shelf.toml: how a practice's shelf is held against what was measured."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from pydantic import Field

from features.input_file import StrictModel
from identify.checklist_file import parse_toml, read_text, validated
from identify.note import Standed


class Setting(Standed):
    """One number and where it comes from; its unit ends the key's name."""

    value: float = Field(gt=0)


class Matching(StrictModel):
    """How near a written size comes to the thing itself (standard deviations), and two shares."""

    prior_other: Setting
    platform_std_mm: Setting
    body_std_mm: Setting
    length_std_mm: Setting
    screw_std_mm: Setting
    body_beside_platform_std_mm: Setting
    index_as_written: Setting


class Screw(Standed):
    """A standard thread by its name."""

    major_mm: float = Field(gt=0)
    pitch_mm: float = Field(gt=0)


class PartKinds(StrictModel):
    """Kinds of part beyond those that restoration.toml asks for."""

    kinds: tuple[str, ...]


class HeightRule(Standed):
    """Which height of a margin or collar suits a depth of tissue over the platform.

    ``just below``: at most as high as the tissue is deep, and no more than `reach_mm` lower;
    ``at or above``: at least as high, and no more than `reach_mm` higher.
    """

    kinds: tuple[str, ...] = Field(min_length=1)
    rule: Literal["just below", "at or above"]
    reach_mm: float = Field(gt=0)
    sentence: str = Field(min_length=10)


class ShelfRules(StrictModel):
    """The whole file."""

    matching: Matching
    screws: Mapping[str, Screw]
    parts: PartKinds
    heights: tuple[HeightRule, ...]

    def height_rule(self, kind: str) -> HeightRule | None:
        """Return the rule for one kind of part; None where height does not matter."""
        return next((rule for rule in self.heights if kind in rule.kinds), None)


def read_shelf_rules(path: Path) -> ShelfRules:
    """Read shelf.toml."""
    return validated(ShelfRules, parse_toml(read_text(path, path.name), path.name), path.name)
