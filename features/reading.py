"""The one front door: a film and its marks in, a Reading out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

from features.axes import axes_angle
from features.finding import Vent
from features.implant import ImplantReading, read_implant
from features.lengths import vent_in_mm, with_units
from features.marks import Marks
from features.quantity import Measured, NotMeasured, Quantity
from features.radiograph import Radiograph
from features.scale import Scale, calibrate
from features.traces import Trace

__all__ = ["ImplantReading", "Reading", "Trace", "read_film", "read_implant"]


@dataclass(frozen=True, slots=True)
class Between:
    """The angle between two implants' axes as the film shows it."""

    labels: tuple[str, str]
    angle_deg: Measured

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {"labels": list(self.labels), "angle_deg": self.angle_deg.to_json()}


@dataclass(frozen=True, slots=True)
class Reading:
    """One film read."""

    sha256: str
    width: int
    height: int
    scale: Scale
    implants: tuple[ImplantReading, ...]
    notes: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """`reading/1` without the weighing, which is not this package's business."""
        apart = [pair.to_json() for pair in self.between]
        return {
            "radiofixture": "reading/1",
            "film": {
                "sha256": self.sha256,
                "width": self.width,
                "height": self.height,
                "notes": list(self.notes),
            },
            "scale": self.scale.to_json(),
            "implants": [_implant_json(implant) for implant in self.implants],
        } | ({"between_implants": apart} if apart else {})

    @property
    def between(self) -> tuple[Between, ...]:
        """Every pair of implants whose axes were found."""
        return tuple(
            Between((one.label, other.label), axes_angle(one.axis_deg, other.axis_deg))
            for one, other in combinations(self.implants, 2)
            if isinstance(one.axis_deg, Measured) and isinstance(other.axis_deg, Measured)
        )


def read_film(film: Radiograph, marks: Marks) -> Reading:
    """Measure every marked implant on a film.

    Everything is measured in pixels first; one scale then turns all lengths into millimetres, so
    that its error stays shared.

    Parameters
    ----------
    film : Radiograph
    marks : Marks
        Checked against this film (`features.marks.check_marks`).
    """
    in_px = [read_implant(film.pixels, mark, holder=marks.film.holder) for mark in marks.implants]
    by_label = {implant.label: implant for implant in in_px}

    def length_px_of(label: str, key: str) -> Quantity:
        return by_label[label].measures.get(key, NotMeasured("it was not read"))

    scale = calibrate(film, marks, length_px_of)
    implants = tuple(_scaled(implant, scale) for implant in in_px)
    return Reading(film.sha256, film.width, film.height, scale, implants, film.notes)


def _scaled(implant: ImplantReading, scale: Scale) -> ImplantReading:
    return replace(
        implant,
        measures=with_units(implant.measures, scale.mm_per_px),
        vents=tuple(vent_in_mm(vent, scale.mm_per_px) for vent in implant.vents),
    )


def _implant_json(implant: ImplantReading) -> dict[str, Any]:
    return {
        "label": implant.label,
        "tooth": implant.tooth,
        "measures": {key: value.to_json() for key, value in implant.measures.items()},
        "forms": {key: value.to_json() for key, value in implant.forms.items()},
        "findings": {key: value.to_json() for key, value in implant.findings.items()},
        "vents": [_vent_json(vent) for vent in implant.vents],
        "notes": list(implant.notes),
    }


def _vent_json(vent: Vent) -> dict[str, Any]:
    unit = "mm" if getattr(vent.width, "unit", "px") == "mm" else "px"
    return {
        "shape": vent.shape,
        f"width_{unit}": vent.width.to_json(),
        f"height_{unit}": vent.height.to_json(),
        f"from_apex_{unit}": vent.from_apex.to_json(),
        "contrast_to_noise": round(vent.contrast_to_noise, 2),
        "probability": round(vent.probability, 3),
    }
