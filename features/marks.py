"""The marks file (`marks/1`): where a hand put the platform, the apex and the known length.

Points are ``(x, y)``; an integer is a pixel's centre. FORMAT.md in reference_notes explains the
file.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from features.input_file import BadInput, StrictModel, check, read_json

Point = tuple[float, float]
Joint = Literal["seen", "guessed", "hidden"]

CLICK_STD_PX = 2.0  # a careful hand is 2-6 px off; common practice
LEAST_KNOWN_PX = 20.0  # a known length shorter than this cannot be read to 5 %


class FilmMark(StrictModel):
    """`holder`: whether a film holder kept the receptor parallel to the implant."""

    holder: bool = False


class NoScale(StrictModel):
    """Nothing of known size is on the film: ratios and angles only."""

    kind: Literal["none"] = "none"


class BallScale(StrictModel):
    """A calibration ball; its edge is fitted, the marks only say where it is."""

    kind: Literal["ball"]
    size_mm: float = Field(gt=0.2, le=50)
    std_mm: float = Field(default=0.02, ge=0)
    depth_std_mm: float = Field(default=3.0, ge=0)  # ball and implant rarely lie in one plane
    ends_px: tuple[Point, Point]


class LineScale(StrictModel):
    """Any known length, such as a neighbouring crown callipered in the mouth."""

    kind: Literal["line"]
    size_mm: float = Field(gt=0.2, le=100)
    std_mm: float = Field(default=0.1, ge=0)
    depth_std_mm: float = Field(default=3.0, ge=0)
    ends_px: tuple[Point, Point]


class ImplantScale(StrictModel):
    """The known length or diameter of one implant on the film."""

    kind: Literal["implant_length", "implant_diameter"]
    label: str
    size_mm: float = Field(gt=0.5, le=80)
    std_mm: float = Field(default=0.1, ge=0)


class PixelScale(StrictModel):
    """A pixel size typed in, at the detector when `magnification` is given."""

    kind: Literal["pixel"]
    mm_per_px: float = Field(gt=0.0005, le=1)
    std_mm_per_px: float = Field(default=0.0, ge=0)
    magnification: float | None = Field(default=None, ge=1, le=2)
    std_magnification: float = Field(default=0.013, ge=0)


class DicomScale(StrictModel):
    """The spacing that came with the file."""

    kind: Literal["dicom"]


ScaleMark = Annotated[
    NoScale | BallScale | LineScale | ImplantScale | PixelScale | DicomScale,
    Field(discriminator="kind"),
]


class ImplantMark(StrictModel):
    """One implant: the two ends of its platform line (either order) and its apex."""

    label: str = Field(min_length=1, max_length=40)
    tooth: str | None = None
    joint: Joint = "seen"
    platform_px: tuple[Point, Point]
    apex_px: Point
    std_px: float = Field(default=CLICK_STD_PX, gt=0, le=50)

    @field_validator("tooth")
    @classmethod
    def _is_fdi(cls, tooth: str | None) -> str | None:
        # ISO 3950: permanent 11-18 … 41-48, primary 51-55 … 81-85
        if tooth is None or tooth in FDI_TEETH:
            return tooth
        raise ValueError(
            f"{tooth} is no FDI tooth number (ISO 3950: 11-18 to 41-48, primary 51-55 to 81-85); "
            "correct it or leave it out"
        )

    @model_validator(mode="after")
    def _is_a_triangle(self) -> ImplantMark:
        width = math.dist(*self.platform_px)
        if width < 4:
            raise ValueError("the two platform ends lie on one spot; put them on the two edges")
        if self._apex_off_line_px() < 0.5 * width:  # the shortest bodies are as long as wide
            raise ValueError(
                "the apex lies on, or too near, the platform line; move it to the implant's far end"
            )
        return self

    def _apex_off_line_px(self) -> float:
        (x1, y1), (x2, y2) = self.platform_px
        x, y = self.apex_px
        return abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / math.dist(*self.platform_px)

    @property
    def platform_middle_px(self) -> Point:
        """Half way between the two platform ends."""
        (x1, y1), (x2, y2) = self.platform_px
        return (x1 + x2) / 2, (y1 + y2) / 2

    @property
    def width_px(self) -> float:
        """Between the two platform ends."""
        return math.dist(*self.platform_px)

    @property
    def length_px(self) -> float:
        """From the middle of the platform line to the apex."""
        return math.dist(self.platform_middle_px, self.apex_px)


FDI_TEETH = frozenset(
    f"{quadrant}{tooth}"
    for quadrants, last in (("1234", 8), ("5678", 5))
    for quadrant in quadrants
    for tooth in range(1, last + 1)
)


class Marks(StrictModel):
    """The whole file."""

    radiofixture: Literal["marks/1"] = "marks/1"
    film: FilmMark = FilmMark()
    scale: ScaleMark = NoScale()
    implants: tuple[ImplantMark, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _labels_agree(self) -> Marks:
        labels = [implant.label for implant in self.implants]
        if len(set(labels)) < len(labels):
            raise ValueError("two implants carry one label; give each its own")
        if isinstance(self.scale, ImplantScale) and self.scale.label not in labels:
            raise ValueError(
                f"the scale rests on implant '{self.scale.label}', which is not marked; "
                f"use one of {', '.join(labels)}"
            )
        return self


def load_marks(path: Path, *, width: int, height: int) -> Marks:
    """Read a marks file and hold it against the film it belongs to.

    Raises
    ------
    BadInput
        One sentence: what is wrong, where, and the way out.
    """
    return check_marks(read_json(path, "marks file"), width=width, height=height, what=str(path))


def check_marks(data: object, *, width: int, height: int, what: str = "marks") -> Marks:
    """Validate marks given as parsed JSON (or as `Marks`) against a film of this size in px."""
    marks = data if isinstance(data, Marks) else check(Marks, data, what)
    for name, point in _named_points(marks):
        if not (-0.5 <= point[0] <= width - 0.5 and -0.5 <= point[1] <= height - 0.5):
            raise BadInput(
                f"{what}: {name} at ({point[0]:g}, {point[1]:g}) lies outside the film "
                f"({width} × {height} px); mark it again on this film."
            )
    if isinstance(marks.scale, BallScale | LineScale):
        _check_known_length(marks.scale, what)
    return marks


def _check_known_length(scale: BallScale | LineScale, what: str) -> None:
    apart = math.dist(*scale.ends_px)
    if apart < LEAST_KNOWN_PX:
        raise BadInput(
            f"{what}: the ends of the known length are only {apart:.0f} px apart; put them on "
            "its two edges, or choose something larger."
        )


def _named_points(marks: Marks) -> list[tuple[str, Point]]:
    points = []
    for implant in marks.implants:
        points += [(f"implant {implant.label}: a platform end", end) for end in implant.platform_px]
        points.append((f"implant {implant.label}: the apex", implant.apex_px))
    if isinstance(marks.scale, BallScale | LineScale):
        points += [("scale: an end", end) for end in marks.scale.ends_px]
    return points
