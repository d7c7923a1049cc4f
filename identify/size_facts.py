"""What one size as written on the shelf would measure, and how near it comes to that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from identify.evidence import WIDTH
from identify.note import Fact, NumberFact, Setting, StateFact
from identify.shelf import Size

if TYPE_CHECKING:
    from identify.knowledge import Notes

PLATFORM = "platform_width_mm"
LENGTH = "length_mm"
CHANNEL = "bore_width_mm"
SCREW_PITCH = "screw_pitch_mm"
INDEX = "index"
SIZED = (PLATFORM, WIDTH, LENGTH, CHANNEL, SCREW_PITCH)


def size_facts(size: Size, family: str, notes: Notes) -> dict[str, Fact]:
    """Facts of the family, narrowed to the size wherever its row says something.

    Where the row has several lengths, any between the shortest and the longest is expected.
    """
    near = notes.shelf.matching
    screw = notes.shelf.screws.get(size.screw_thread)
    facts = dict(notes.families[family].facts)
    for key, written, setting in (
        (PLATFORM, [size.platform_width_mm], near.platform_std_mm),
        (WIDTH, [size.body_width_mm], near.body_std_mm),
        (LENGTH, list(size.lengths_mm), near.length_std_mm),
        (CHANNEL, [screw.major_mm if screw else None], near.screw_std_mm),
        (SCREW_PITCH, [screw.pitch_mm if screw else None], near.pitch_std_mm),
    ):
        values = [value for value in written if value is not None]
        if values:
            facts[key] = _around(values, setting)
    if size.index != "unknown":
        facts[INDEX] = _index_as(size.index, near.index_as_written)
    return facts


def _around(values: list[float], near: Setting) -> NumberFact:
    # a range without width and with soft shoulders is a Gaussian
    return NumberFact(low=min(values), high=max(values), edge=near.value, standing=near.standing)


def _index_as(written: str, sure: Setting) -> StateFact:
    states = dict.fromkeys(("present", "absent"), 1 - sure.value) | {written: sure.value}
    return StateFact(probabilities=states, standing=sure.standing)
