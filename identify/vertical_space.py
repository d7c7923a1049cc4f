"""Vertical space: held against published leasts, and stacked up layer by layer."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from features.quantity import Measured, NotMeasured, Quantity
from identify.case_file import Case
from identify.case_parts import rows_of
from identify.note import Verdict
from identify.rules import Rules, Space, StackItem
from identify.when import Facts

DATUMS = {"platform": "the platform", "mucosa": "the gum", "not stated": "an unstated datum"}


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer; its height in mm, or why it is not known."""

    name: str
    height_mm: Quantity
    where_from: str

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "item": self.name,
            "height_mm": self.height_mm.to_json(),
            "where_from": self.where_from,
        }


@dataclass(frozen=True, slots=True)
class Stacked:
    """The layers between `datum` and the bite, their sum, and what is left of the space."""

    datum: str
    layers: tuple[Layer, ...]
    needed_mm: Quantity
    left_mm: Quantity

    @property
    def short_mm(self) -> Quantity:
        """What is missing."""
        left = self.left_mm
        return Measured(-left.value, left.std, "mm") if left else left

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "datum": self.datum,
            "layers": [layer.to_json() for layer in self.layers],
            "needed_mm": self.needed_mm.to_json(),
            "left_mm": self.left_mm.to_json(),
        }


def space_of(case: Case, rules: Rules) -> Quantity:
    """Return the vertical space as measured from its datum."""
    if case.vertical_space_mm is None:
        return NotMeasured("the vertical space is not given")
    return Measured(case.vertical_space_mm, case.vertical_space_std_mm or rules.space_std_mm, "mm")


def readings_mm(case: Case) -> tuple[float, float]:
    """The space by the safer reading of a least without a datum (from the gum), and the other."""
    assert case.vertical_space_mm is not None
    depth_mm = case.tissue_depth_mm or 0.0
    if case.space_datum == "mucosa":
        return case.vertical_space_mm, case.vertical_space_mm + depth_mm
    return case.vertical_space_mm - depth_mm, case.vertical_space_mm


def judge_space(row: Space, case: Case) -> tuple[Verdict, str]:
    """Hold the space against one published least; where none states a datum the safer counts."""
    safer_mm, other_mm = readings_mm(case)
    if row.datum == "platform":
        safer_mm = other_mm
    most_mm = row.most_mm or row.least_mm
    wanted = f"{row.least_mm:g}" + (f" to {row.most_mm:g}" if row.most_mm else "")
    verdict, word = _word(safer_mm, other_mm, row.least_mm, most_mm)
    what = f" ({row.what})" if row.what else ""
    return ("suits" if row.hint else verdict), (
        f"Vertical space is {word}: {safer_mm:.1f} mm {_counted(case)} against a published least "
        f"of {wanted} mm{what}; its datum: {row.datum}."
    )


def _word(safer_mm: float, other_mm: float, least_mm: float, most_mm: float) -> tuple[Verdict, str]:
    if safer_mm >= most_mm:
        return "suits", "enough"
    if safer_mm >= least_mm:
        return "with_care", "tight, within the published range"
    if other_mm >= least_mm:
        return "with_care", "enough from the platform, too little from the gum, the safer reading"
    return "does_not_suit", "too little"


def _counted(case: Case) -> str:
    if case.space_datum == "mucosa":
        return "from the gum"
    if case.tissue_depth_mm is None:
        return "from the platform, the gum's depth not given"
    return f"with {case.tissue_depth_mm:g} mm of gum subtracted"


def stack_up(facts: Facts, case: Case, rules: Rules) -> Stacked | None:
    """Stack up an option's layers; None where no stack is noted for it."""
    stack = next((stack for stack in rules.stacks if stack.when.fits(facts)), None)
    if stack is None:
        return None
    from_gum = case.space_datum == "mucosa"
    layers = [_layer(item, case, rules) for item in stack.items]
    if not from_gum and all(item.above == "gum" for item in stack.items):
        layers.insert(0, _gum(case))
    needed = _sum(layers)
    return Stacked(
        "mucosa" if from_gum else "platform",
        tuple(layers),
        needed,
        _left(space_of(case, rules), needed),
    )


def _gum(case: Case) -> Layer:
    name, depth_mm = "gum over the platform", case.tissue_depth_mm
    if depth_mm is None:
        return Layer(name, NotMeasured("the gum's depth is not given"), "measure it with a probe")
    return Layer(name, Measured(depth_mm, 0.0, "mm"), "measured")


def _layer(item: StackItem, case: Case, rules: Rules) -> Layer:
    heights = [row.height_mm for row in rows_of(item.kinds, case, rules) if row.height_mm]
    if heights:
        return Layer(item.name, Measured(heights[0], rules.part_height_std_mm, "mm"), "the Shelf")
    if item.height_mm is not None:
        return Layer(item.name, Measured(item.height_mm, 0.0, "mm"), item.standing)
    reason = f"the height of the {item.name} is not on the Shelf"
    return Layer(item.name, NotMeasured(reason), "look it up and add it to the Shelf")


def _sum(layers: list[Layer]) -> Quantity:
    known = [layer.height_mm for layer in layers if isinstance(layer.height_mm, Measured)]
    missing = [layer.height_mm for layer in layers if isinstance(layer.height_mm, NotMeasured)]
    if missing:
        return NotMeasured("; ".join(lack.reason for lack in missing))
    std = math.hypot(*(height.std for height in known))
    return Measured(sum(height.value for height in known), std, "mm")


def _left(space: Quantity, needed: Quantity) -> Quantity:
    if not space:
        return space
    if not needed:
        return needed
    return Measured(space.value - needed.value, math.hypot(space.std, needed.std), "mm")
