"""The case file (`case/1`): what is to be restored, and what is known of the place."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from features.input_file import StrictModel, check, read_json
from features.marks import FDI_TEETH
from identify.note import Group, Indication
from identify.rules import Rung

Tilt = Annotated[float, Field(ge=-60, le=60)]
Std = Annotated[float, Field(gt=0, le=30)]
WITHOUT_INDEX = ("no_index", "one_piece", "self_locking")


class CaseImplant(StrictModel):
    """One implant. Tilts: crown end positive to mesial and to buccal, in its own tooth's frame."""

    label: str = Field(min_length=1, max_length=40)
    tooth: str | None = None
    platform_width_mm: float | None = Field(default=None, gt=0, le=15)
    tissue_depth_mm: float | None = Field(default=None, ge=0, le=15)
    tilt_mesiodistal_deg: Tilt | None = None
    tilt_buccolingual_deg: Tilt | None = None
    tilt_std_deg: Std | None = None

    @field_validator("tooth")
    @classmethod
    def _is_fdi(cls, tooth: str | None) -> str | None:
        if tooth is None or tooth in FDI_TEETH:
            return tooth
        raise ValueError("must be an FDI tooth number such as 36 (ISO 3950)")


class Case(StrictModel):
    """The whole file. What is left out is not known, and is said to be so in the plan."""

    radiofixture: Literal["case/1"] = "case/1"
    family: str
    connection: Group | None = None
    index: Literal["present", "absent", "unknown"] | None = None
    screw_thread: str | None = Field(default=None, min_length=1, max_length=40)
    confirmed: Rung = "film_only"
    stop_signs: tuple[str, ...] = ()
    indication: Indication | None = None
    vertical_space_mm: float | None = Field(default=None, gt=0, le=60)
    space_datum: Literal["platform", "mucosa", "not stated"] = "not stated"
    implants: tuple[CaseImplant, ...] = ()
    tooth_frames_deg: Mapping[str, Annotated[float, Field(ge=-30, le=120)]] = Field(
        default_factory=dict
    )
    divergence_measured_deg: float | None = Field(default=None, ge=0, le=90)
    divergence_measured_std_deg: Std | None = None

    @model_validator(mode="after")
    def _labels_agree(self) -> Case:
        labels = [implant.label for implant in self.implants]
        if len(set(labels)) < len(labels):
            raise ValueError("two implants carry one label; give each its own")
        known = {*labels, *(implant.tooth for implant in self.implants)}
        for name in self.tooth_frames_deg:
            if name not in known:
                raise ValueError(f"'tooth_frames_deg.{name}' is no implant of this case; remove it")
        return self

    @model_validator(mode="after")
    def _index_fits_connection(self) -> Case:
        if self.index == "present" and self.connection in WITHOUT_INDEX:
            raise ValueError(
                f"the connection is '{self.connection}' and yet an index is present; correct one"
            )
        return self

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
