"""The case file (`case/1`): what is to be restored, and what is known of the place."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from features.input_file import StrictModel, check, read_json
from features.marks import FDI_TEETH
from identify.note import Group, Indication
from identify.rules import PartState, Rung
from identify.when import Abutment, Access, Contacts, OldAbutment, OldWork, PartsEngage

Tilt = Annotated[float, Field(ge=-60, le=60)]
Std = Annotated[float, Field(gt=0, le=30)]
Index = Literal["present", "absent", "unknown"]
WITHOUT_INDEX = ("no_index", "one_piece", "self_locking")


class PartRow(StrictModel):
    """One part the practice knows of: a row of its Shelf."""

    kind: str = Field(min_length=1, max_length=60)
    platform_width_mm: float | None = Field(default=None, gt=0, le=15)
    height_mm: float | None = Field(default=None, ge=0, le=30)
    angle_deg: float | None = Field(default=None, ge=0, le=60)
    state: PartState
    checked_on: str | None = Field(default=None, max_length=40)


class CaseImplant(StrictModel):
    """One implant. Tilts: crown end positive to mesial and to buccal, in its own tooth's frame.

    `family`, `connection` and `index` are given where this one differs from the case's; `confirmed`
    where it is known by itself how far this one is confirmed.
    """

    label: str = Field(min_length=1, max_length=40)
    tooth: str | None = None
    family: str | None = None
    connection: Group | None = None
    index: Index | None = None
    confirmed: Rung | None = None
    platform_width_mm: float | None = Field(default=None, gt=0, le=15)
    tissue_depth_mm: float | None = Field(default=None, ge=0, le=15)
    tilt_mesiodistal_deg: Tilt | None = None
    tilt_buccolingual_deg: Tilt | None = None
    tilt_std_deg: Std | None = None
    abutment: Abutment | None = None
    abutment_height_mm: float | None = Field(default=None, gt=0, le=15)
    taper_deg: float | None = Field(default=None, ge=0, le=30)

    @field_validator("tooth")
    @classmethod
    def _is_fdi(cls, tooth: str | None) -> str | None:
        if tooth is None or tooth in FDI_TEETH:
            return tooth
        raise ValueError("must be an FDI tooth number such as 36 (ISO 3950)")


class FilmTilt(StrictModel):
    """How far one implant's crown end leans to mesial on a film, from the film's upright."""

    mesiodistal_deg: Tilt
    std_deg: Std = 0.3


class Film(StrictModel):
    """Tilts read off one film, by label or tooth; the film as a whole may stand turned."""

    name: str = Field(default="", max_length=80)
    tilts: Mapping[str, FilmTilt] = Field(min_length=1)
    turn_std_deg: Std | None = None


class Case(StrictModel):
    """The whole file. What is left out is not known, and is said to be so in the plan."""

    radiofixture: Literal["case/1"] = "case/1"
    family: str
    rival: str | None = None
    connection: Group | None = None
    index: Index | None = None
    parts_engage_index: PartsEngage | None = None
    screw_thread: str | None = Field(default=None, min_length=1, max_length=40)
    confirmed: Rung = "film_only"
    stop_signs: tuple[str, ...] = ()
    old_work: OldWork | None = None
    old_abutment: OldAbutment | None = None
    access: Access | None = None
    contacts: Contacts | None = None
    indication: Indication | None = None
    vertical_space_mm: float | None = Field(default=None, gt=0, le=60)
    vertical_space_std_mm: float | None = Field(default=None, gt=0, le=5)
    space_datum: Literal["platform", "mucosa", "not stated"] = "not stated"
    implants: tuple[CaseImplant, ...] = Field(default=(), max_length=20)
    films: tuple[Film, ...] = Field(default=(), max_length=20)
    parts: tuple[PartRow, ...] = Field(default=(), max_length=5000)
    tooth_frames_deg: Mapping[str, Annotated[float, Field(ge=-30, le=120)]] = Field(
        default_factory=dict
    )
    divergence_measured_deg: float | None = Field(default=None, ge=0, le=90)
    divergence_measured_std_deg: Std | None = None

    @model_validator(mode="after")
    def _names_agree(self) -> Case:
        labels = [implant.label for implant in self.implants]
        if len(set(labels)) < len(labels):
            raise ValueError("two implants carry one label; give each its own")
        teeth = [implant.tooth for implant in self.implants if implant.tooth]
        if len(set(teeth)) < len(teeth):
            raise ValueError("two implants stand at one tooth; correct the tooth of one")
        known = {*labels, *teeth}
        for name in self.tooth_frames_deg:
            if name not in known:
                raise ValueError(f"'tooth_frames_deg.{name}' is no implant of this case; remove it")
        for name in (name for film in self.films for name in film.tilts):
            if name not in known:
                raise ValueError(f"'films': '{name}' is no implant of this case; add or correct it")
        return self

    @model_validator(mode="after")
    def _index_is_possible(self) -> Case:
        seen = [(self.connection, self.index)]
        seen += [(one.connection or self.connection, one.index) for one in self.implants]
        for group, index in seen:
            if index == "present" and group in WITHOUT_INDEX:
                raise ValueError(
                    f"the connection is '{group}' and yet an index is present; correct one"
                )
        if self.parts_engage_index == "yes" and self.index == "absent":
            raise ValueError(
                "the index is absent and yet the parts engage it; look onto the implant again "
                "and correct 'index' or 'parts_engage_index'"
            )
        return self

    @model_validator(mode="after")
    def _space_leaves_room(self) -> Case:
        depth, space = self.tissue_depth_mm, self.vertical_space_mm
        if self.space_datum != "platform" or depth is None or space is None or depth < space:
            return self
        raise ValueError(
            f"the gum is {depth:g} mm deep over the platform and the space from the "
            f"platform only {space:g} mm; measure one of them again"
        )

    @property
    def tissue_depth_mm(self) -> float | None:
        """The deepest tissue over any implant, in mm; None where none is given."""
        depths = [i.tissue_depth_mm for i in self.implants if i.tissue_depth_mm is not None]
        return max(depths, default=None)


def load_case(path: Path) -> Case:
    """Read a case file.

    Raises
    ------
    BadInput
        One sentence: what is wrong, where, and the way out.
    """
    return check(Case, read_json(path, "case file"), str(path))
