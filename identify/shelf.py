"""The practice's own systems, by whatever names they use: sizes, and the parts to be had for them.

Nothing here is shipped: every row is the user's own, from a file or from the screen.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from features.input_file import BadInput, StrictModel

State = Literal["in stock", "orderable", "scarce", "discontinued"]
STATES: tuple[State, ...] = ("in stock", "orderable", "scarce", "discontinued")
# Widths are written to a tenth or a twentieth; two that differ by less are one width.
SAME_WIDTH_MM = 0.05
STARTS_A_FORMULA = tuple("=+-@")


def _plain_text(text: object) -> object:
    if not isinstance(text, str):
        return text
    text = " ".join(text.split())
    if text.startswith(STARTS_A_FORMULA):
        raise ValueError(
            f"begins with '{text[0]}', which a spreadsheet takes for a formula; begin otherwise"
        )
    if not text.isprintable():
        raise ValueError("holds a character that cannot be printed; type it again")
    return text


def _plain_number(value: object) -> object:
    if not isinstance(value, str):
        return value
    try:
        return float(value)
    except ValueError:
        raise ValueError(f"is '{value}', which is no number; write it like 4.2") from None


def _plain_date(value: object) -> object:
    if not isinstance(value, str):
        return value
    day_first = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", value)
    try:
        if day_first:
            return date(*map(int, day_first.groups()[::-1]))
        return date.fromisoformat(value)
    except ValueError:
        # 3/4/2026 is one day here and another there
        raise ValueError(
            f"is '{value}', which is no plain date; write it like 2026-09-14"
        ) from None


Text = Annotated[str, BeforeValidator(_plain_text), Field(max_length=200)]
Name = Annotated[str, BeforeValidator(_plain_text), Field(min_length=1, max_length=60)]
Number = BeforeValidator(_plain_number)
Width = Annotated[
    float, Number, Field(ge=0.5, le=20)
]  # mm: wider than any implant, to catch a slip
Length = Annotated[float, Number, Field(ge=2, le=80)]  # mm, the same


class Size(StrictModel):
    """One size of one system, as the practice writes it. Widths and lengths in mm.

    `lengths_mm` run from the platform to the tip, a collar included, as they are measured on a
    film; `body_width_mm` is that of the widest turn of the body.
    """

    system: Name
    family: Name
    size: Name
    platform_width_mm: Width | None = None
    body_width_mm: Width | None = None
    lengths_mm: tuple[Length, ...] = ()
    screw_thread: Text = ""
    index: Literal["present", "absent", "unknown"] = "unknown"
    note: Text = ""

    @model_validator(mode="after")
    def _has_a_width(self) -> Size:
        if self.platform_width_mm is None and self.body_width_mm is None:
            raise ValueError("needs 'platform_width_mm' or 'body_width_mm'")
        return self

    @field_validator("lengths_mm")
    @classmethod
    def _in_order(cls, lengths: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(sorted(set(lengths)))

    @property
    def key(self) -> tuple[str, str]:
        """What makes it the same size in another file."""
        return self.system.casefold(), self.size.casefold()

    @property
    def title(self) -> str:
        """How it is called among the others."""
        return f"{self.system} {self.size}"


class Part(StrictModel):
    """One part that fits a system; without `platform_width_mm` it fits all its platforms.

    `height_mm` is that of the margin or collar over the platform.
    """

    system: Name
    kind: Name
    platform_width_mm: Width | None = None
    height_mm: Annotated[float, Number, Field(ge=0, le=15)] | None = None
    angle_deg: Annotated[float, Number, Field(ge=0, le=60)] = 0.0
    supplier: Text = ""
    state: State
    checked_on: Annotated[date, BeforeValidator(_plain_date)] | None = None
    note: Text = ""

    @property
    def key(self) -> tuple[str, str, float, float, float, str]:
        """What makes it the same part in another file; -1 stands for a number left out."""
        platform, height = (
            -1.0 if x is None else x for x in (self.platform_width_mm, self.height_mm)
        )
        return (
            self.system.casefold(),
            self.kind,
            platform,
            height,
            self.angle_deg,
            self.supplier.casefold(),
        )

    def fits(self, platform_width_mm: float | None, within_mm: float = SAME_WIDTH_MM) -> bool:
        """Whether it goes on a platform of this width; an unknown width rules nothing out."""
        if self.platform_width_mm is None or platform_width_mm is None:
            return True
        return abs(self.platform_width_mm - platform_width_mm) < within_mm

    def plan_row(self) -> dict[str, Any]:
        """Return what a case file holds of it."""
        return {
            "kind": self.kind,
            "platform_width_mm": self.platform_width_mm,
            "height_mm": self.height_mm,
            "angle_deg": self.angle_deg,
            "state": self.state,
            "checked_on": self.checked_on.isoformat() if self.checked_on else None,
        }


@dataclass(frozen=True, slots=True)
class Shelf:
    """Everything the practice has written down."""

    sizes: tuple[Size, ...] = ()
    parts: tuple[Part, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.sizes or self.parts)

    @property
    def families(self) -> tuple[str, ...]:
        """Keys of the families it holds sizes of."""
        return tuple(sorted({size.family for size in self.sizes}))

    def sizes_of(self, family: str) -> tuple[Size, ...]:
        """Return the sizes of one family."""
        return tuple(size for size in self.sizes if size.family == family)


def find_size(shelf: Shelf, title: str) -> Size:
    """Return the row that is called so, system and size, whatever its capitals.

    Raises
    ------
    BadInput
        There is none; the sentence names those there are.
    """
    for size in shelf.sizes:
        if size.title.casefold() == " ".join(title.split()).casefold():
            return size
    known = ", ".join(f"'{size.title}'" for size in shelf.sizes) or "it is empty"
    raise BadInput(f"'{title}' is no size on the shelf; use one of those there are: {known}.")


def parts_for(
    shelf: Shelf,
    family: str,
    platform_width_mm: float | None = None,
    *,
    within_mm: float = SAME_WIDTH_MM,
) -> list[Part]:
    """Parts on the shelf for a platform of a family, what is at hand first.

    Parameters
    ----------
    family : str
        Key of a family; parts belong to it through the sizes of their system.
    platform_width_mm : float, optional
        In mm, as written on the shelf; every platform of the family where left out.
    within_mm : float
        How far a measured width may be off the written one.
    """
    systems = {
        size.system.casefold()
        for size in shelf.sizes_of(family)
        if _same_platform(size, platform_width_mm, within_mm)
    }
    found = [
        part
        for part in shelf.parts
        if part.system.casefold() in systems and part.fits(platform_width_mm, within_mm)
    ]
    return sorted(found, key=lambda part: (STATES.index(part.state), *part.key))


def _same_platform(size: Size, width_mm: float | None, within_mm: float) -> bool:
    if width_mm is None or size.platform_width_mm is None:
        return True
    return abs(size.platform_width_mm - width_mm) < within_mm
