"""What restoration.toml says: the general rules of restoring, shared by all families."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field, field_validator

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
)

Rung = Literal["film_only", "connection_seen", "bench", "trial", "record"]


class When(StrictModel):
    """The options a rule holds for; an entry left out means any."""

    indication: tuple[Indication, ...] = ()
    retention: tuple[Retention, ...] = ()
    making: tuple[Making, ...] = ()
    group: tuple[Group, ...] = ()

    def fits(
        self, indication: Indication, retention: Retention, making: Making, group: Group
    ) -> bool:
        """Tell whether the rule holds for this option on this connection."""
        return (
            indication in (self.indication or (indication,))
            and retention in (self.retention or (retention,))
            and making in (self.making or (making,))
            and group in (self.group or (group,))
        )


class Step(Standed):
    """One sentence of a sequence, or one caution."""

    standing: Standing = "common practice"
    text: str
    when: When = When()


class Parts(StrictModel):
    """The parts an option needs."""

    kinds: tuple[str, ...] = Field(min_length=1)
    when: When = When()


class Limit(Standed):
    """How far apart two implants may point, in degrees in total, for one kind of attachment."""

    retention: Retention
    suits_up_to_deg: float = Field(gt=0)
    with_care_up_to_deg: float = Field(gt=0)


class Space(Standed):
    """The least vertical space in mm, from `datum`, for one kind of restoration."""

    indication: tuple[Indication, ...]
    retention: tuple[Retention, ...]
    making: tuple[Making, ...] = ()
    least_mm: float = Field(gt=0)
    datum: Literal["platform", "mucosa", "not stated"]


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
    stop_signs: Mapping[str, StopSign]
    stopped: str
    other_ways: tuple[OtherWay, ...]
    index_unknown: str
    index_contradicts: str
    index_not_seen: str
    limits: tuple[Limit, ...]
    spaces: tuple[Space, ...]
    frames: Frames
    tilt_std_deg: float = Field(gt=0)
    divergence_measured_std_deg: float = Field(gt=0)
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
