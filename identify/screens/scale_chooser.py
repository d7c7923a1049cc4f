"""The part of the Film screen where the scale is chosen: what is known, and how large it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import streamlit as st

from features.input_file import StrictModel
from features.marks import BallScale, ImplantScale, LineScale, PixelScale
from identify.screens import look, marking
from identify.screens.case import Case

KINDS = {
    "none": "Nothing of known size",
    "line": "A length I can measure in the mouth",
    "ball": "A calibration ball",
    "implant_length": "The implant's length is known",
    "implant_diameter": "The implant's diameter is known",
    "pixel": "The pixel size is known",
    "dicom": "The spacing in the file",
}
HELP = {
    "none": "Angles, ratios and forms are still read. For millimetres, calliper a neighbouring "
    "crown in the mouth and choose “A length I can measure in the mouth”.",
    "line": "For example the widest mesiodistal width of a neighbouring crown, callipered in the "
    "mouth. Put the two green handles on the same two edges.",
    "ball": "Put the two green handles on two opposite edges; the edge itself is then fitted.",
    "implant_length": "The length from the platform to the apex. It then weighs nothing.",
    "implant_diameter": "The diameter of the upper body. It then weighs nothing.",
    "pixel": "From the sensor's data sheet. At the detector the implant is magnified a little: "
    "give the magnification where you know it.",
}


@dataclass(frozen=True, slots=True)
class Field:
    """One number to type; `least` and `most` are the limits of the marks file."""

    name: str
    label: str
    least: float
    most: float
    step: float
    digits: int = 2


SIZE = Field("size_mm", "Size, mm", 0.5, 80.0, 0.1)
SIZE_STD = Field("std_mm", "Give or take, mm", 0.0, 5.0, 0.01)
SCALES: dict[str, type[StrictModel]] = {
    "line": LineScale,
    "ball": BallScale,
    "implant_length": ImplantScale,
    "implant_diameter": ImplantScale,
    "pixel": PixelScale,
}
FIELDS = {
    "line": (SIZE, SIZE_STD),
    "ball": (SIZE, SIZE_STD),
    "implant_length": (SIZE, SIZE_STD),
    "implant_diameter": (SIZE, SIZE_STD),
    "pixel": (
        Field("mm_per_px", "Pixel size, mm", 0.001, 1.0, 0.001, 4),
        Field("magnification", "Magnification, if known", 1.0, 2.0, 0.01),
    ),
}


def show(case: Case) -> None:
    """Kind of scale, its numbers, and what it does."""
    st.subheader("Scale", anchor=False)
    _kind(case)
    kind = case.draft["scale"]["kind"]
    fields = FIELDS.get(kind, ())
    if fields:
        for column, field in zip(st.columns(len(fields)), fields, strict=True):
            with column:
                _number(case, field)
    if kind in ("implant_length", "implant_diameter") and len(case.labels) > 1:
        _whose(case)
    look.quiet(_help(case))


def _help(case: Case) -> str:
    spacing = case.film.spacing
    if case.draft["scale"]["kind"] == "dicom" and spacing:
        return spacing.sentence
    return HELP.get(case.draft["scale"]["kind"], "")


def _kind(case: Case) -> None:
    key = f"scale_kind_{case.revision}"
    kinds = [kind for kind in KINDS if kind != "dicom" or case.film.spacing]

    def change() -> None:
        size = case.film.width, case.film.height
        case.redraw(marking.with_scale_kind(case.draft, st.session_state[key], *size))

    st.selectbox(
        "What is known",
        kinds,
        kinds.index(case.draft["scale"]["kind"]),
        format_func=KINDS.__getitem__,
        key=key,
        on_change=change,
    )


def _number(case: Case, field: Field) -> None:
    key = f"scale_{field.name}_{case.revision}"

    def change() -> None:
        _edit(case, field.name, st.session_state[key])

    st.number_input(
        field.label,
        field.least,
        field.most,
        case.draft["scale"].get(field.name),
        field.step,
        format=f"%.{field.digits}f",
        key=key,
        on_change=change,
        placeholder=_default(case.draft["scale"]["kind"], field.name),
    )


def _default(kind: str, name: str) -> str:
    """Show what counts where nothing is typed; empty where something must be."""
    default = SCALES[kind].model_fields[name].default if kind in SCALES else None
    return f"{default:g}" if isinstance(default, float) else "–"


def _whose(case: Case) -> None:
    key = f"scale_label_{case.revision}"

    def change() -> None:
        _edit(case, "label", st.session_state[key] or case.labels[0])

    now = case.draft["scale"].get("label")
    st.segmented_control("Of implant", case.labels, default=now, key=key, on_change=change)


def _edit(case: Case, name: str, value: Any) -> None:
    scale = {k: v for k, v in case.draft["scale"].items() if k != name}
    case.edit(case.draft | {"scale": scale if value is None else scale | {name: value}})
