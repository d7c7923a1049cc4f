"""What restoration.toml says: the general rules of restoring, shared by all families."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field, field_validator, model_validator

from features.input_file import StrictModel
from identify.note import (
    GROUPS,
    Group,
    IndexState,
    Indication,
    Making,
    Option,
    Retention,
    Standed,
    Standing,
    Verdict,
)
from identify.when import When

Rung = Literal["film_only", "connection_seen", "bench", "trial", "record"]
PartState = Literal["in stock", "orderable", "scarce", "discontinued"]


class Step(Standed):
    """One step of a sequence, or one caution; `joined` puts it into the step before it."""

    standing: Standing = "common practice"
    text: str
    joined: bool = False
    when: When = When()


class Judgement(Step):
    """What a fact of the case makes of an option: no better than `at_best`.

    `change` says what would change it.
    """

    at_best: Verdict = "suits"
    change: str = ""


class Change(Standed):
    """What would change the verdict of an option."""

    standing: Standing = "common practice"
    text: str
    when: When


class Parts(StrictModel):
    """The parts an option needs."""

    kinds: tuple[str, ...] = Field(min_length=1)
    when: When = When()


class Limit(Standed):
    """How far implants may lean for one kind of attachment, in degrees.

    `of`: ``total`` between two of them, or ``each`` to the denture's path of insertion. `change`:
    what would help beyond it.
    """

    retention: Retention
    of: Literal["total", "each"]
    suits_up_to_deg: float = Field(gt=0)
    with_care_up_to_deg: float = Field(gt=0)
    change: str = ""


class Space(Standed):
    """The least vertical space in mm, from `datum`, for one kind of restoration.

    Published leasts are sometimes a range: below `least_mm` is too little, from `most_mm` on it
    fits, between them it is tight. `implants`: how many in one jaw the row is about; a `hint`
    is only said. `change`: what would help where it is too little.
    """

    indication: tuple[Indication, ...]
    retention: tuple[Retention, ...]
    making: tuple[Making, ...] = ()
    what: str = ""
    hint: bool = False
    change: str = ""
    implants: tuple[str, ...] = ()
    least_mm: float = Field(gt=0)
    most_mm: float | None = None
    datum: Literal["platform", "mucosa", "not stated"]

    @model_validator(mode="after")
    def _is_a_range(self) -> Space:
        if self.most_mm is not None and self.most_mm < self.least_mm:
            raise ValueError("'most_mm' is below 'least_mm'; exchange them")
        return self


class StackItem(Standed):
    """One layer between platform and bite; without `height_mm` only the Shelf knows it.

    `above`: it is counted from the gum or from the platform.
    """

    name: str
    kinds: tuple[str, ...] = ()
    height_mm: float | None = Field(default=None, gt=0)
    above: Literal["gum", "platform"] = "gum"


class Stack(StrictModel):
    """The layers of one kind of restoration, from below."""

    items: tuple[StackItem, ...] = Field(min_length=1)
    when: When


class Collar(Standed):
    """Where the margin or the collar should lie: mm above the gum, negative below it."""

    kinds: tuple[str, ...] = Field(min_length=1)
    lowest_mm: float
    highest_mm: float
    name: str
    when: When


class Draw(Standed):
    """What cemented splints are held against: preparation taper per wall and height."""

    taper_deg: float = Field(gt=0)
    widest_taper_deg: float = Field(gt=0)
    height_mm: float = Field(gt=0)
    designed: tuple[Making, ...]
    never_designed: tuple[Group, ...]


class StopSign(StrictModel):
    """A finding that ends planning before it starts."""

    question: str
    answer: str


class OtherWay(Standed):
    """What can always be done instead of a new restoration."""

    choice: str
    text: str


class Frames(Standed):
    """Default direction of a tooth in its arch.

    `mesial_deg`: how far the tooth's mesial direction is turned forward from straight across the
    arch toward the midline, by position from the midline (1 central incisor … 8 third molar).
    """

    mesial_deg: Mapping[str, float]
    std_deg: float = Field(gt=0)
    entered_std_deg: float = Field(gt=0)


class Confirmation(StrictModel):
    """One rung of the ladder of confirmation."""

    label: str
    parts_may_be_ordered: bool


class Rules(StrictModel):
    """The whole of restoration.toml."""

    groups: Mapping[Group, tuple[Option, ...]]
    index_of_group: Mapping[Group, IndexState]
    supply: Mapping[str, str]
    confirmation: Mapping[Rung, Confirmation]
    not_confirmed: str
    ask_only: str
    stop_signs: Mapping[str, StopSign]
    stopped: str
    other_ways: tuple[OtherWay, ...]
    index_unknown: str
    index_contradicts: str
    index_not_seen: str
    limits: tuple[Limit, ...]
    spaces: tuple[Space, ...]
    stacks: tuple[Stack, ...]
    collars: tuple[Collar, ...]
    draw: Draw
    frames: Frames
    tilt_std_deg: float = Field(gt=0)
    film_turn_std_deg: float = Field(gt=0)
    divergence_measured_std_deg: float = Field(gt=0)
    space_std_mm: float = Field(gt=0)
    part_height_std_mm: float = Field(gt=0)
    platform_match_mm: float = Field(gt=0)
    judgements: tuple[Judgement, ...]
    changes: tuple[Change, ...]
    steps: tuple[Step, ...]
    parts: tuple[Parts, ...]
    cautions: tuple[Step, ...]

    @field_validator("groups", "index_of_group")
    @classmethod
    def _has_all_groups(cls, table: Mapping[Group, object]) -> Mapping[Group, object]:
        missing = [group for group in GROUPS if group not in table]
        if missing:
            raise ValueError(f"{', '.join(missing)} missing; all six connection groups are needed")
        return table

    @property
    def standed(self) -> Mapping[str, tuple[Standed, ...]]:
        """Every row that says where it comes from, by table."""
        names = ("limits", "spaces", "other_ways", "judgements", "changes", "steps", "cautions")
        rows: dict[str, tuple[Standed, ...]] = {name: getattr(self, name) for name in names}
        rows["stacks"] = tuple(item for stack in self.stacks for item in stack.items)
        return rows | {"collars": self.collars, "frames": (self.frames,), "draw": (self.draw,)}
