"""Pixels into millimetres; without a scale, into ratios to the body's own width."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from features.finding import Vent
from features.quantity import Measured, NotMeasured, Quantity

# measure (px) → its ratio to the coronal width
RATIOS = {
    "length": "length_to_width",
    "platform_width": "platform_to_width",
    "apical_width": "apical_to_width",
    "core_width": "core_to_width",
    "thread_pitch": "pitch_to_width",
    "thread_depth": "depth_to_width",
    "bore_width": "bore_to_width",
    "bore_depth": "bore_depth_to_width",
    "bore_mouth": "mouth_to_width",
    "collar_height": "collar_to_width",
}


def in_mm(length: Quantity, scale: Measured) -> Quantity:
    """One length from px to mm; the scale's share of the uncertainty is kept apart."""
    if not length:
        return length
    value = length.value * scale.value
    local = [(name, std * scale.value) for name, std in length.parts]
    shared = [
        (name, std * abs(length.value)) for name, std in scale.parts or (("scale", scale.std),)
    ]
    return Measured(
        value,
        length.std * scale.value,
        "mm",
        std_scale=abs(length.value) * scale.std,
        parts=(*local, *shared),
    )


def with_units(measures: Mapping[str, Quantity], scale: Quantity) -> dict[str, Quantity]:
    """Give every length its unit in its name.

    ``length_mm`` with a scale, else ``length_px`` and the ratios; angles stay as they are.
    """
    out: dict[str, Quantity] = {}
    for key, value in measures.items():
        if key.endswith("_deg"):
            out[key] = value
        elif isinstance(scale, Measured):
            out[f"{key}_mm"] = in_mm(value, scale)
        else:
            out[f"{key}_px"] = value
    return out if isinstance(scale, Measured) else out | ratios(measures)


def ratios(measures: Mapping[str, Quantity]) -> dict[str, Quantity]:
    """Every length over the coronal width: free of scale and magnification."""
    width = measures["coronal_width"]
    return {name: _over(measures[key], width) for key, name in RATIOS.items() if key in measures}


def _over(length: Quantity, width: Quantity) -> Quantity:
    if not length:
        return length
    if not width:
        return NotMeasured(f"the body's width was not measured: {width.reason}")
    value = length.value / width.value
    relative = np.hypot(length.std / max(abs(length.value), 1e-9), width.std / width.value)
    std = float(abs(value) * relative) if length.value else length.std / width.value
    return Measured(value, std)


def vent_in_mm(vent: Vent, scale: Quantity) -> Vent:
    """A vent's lengths in mm, where there is a scale."""
    if not isinstance(scale, Measured):
        return vent
    return replace(
        vent,
        width=in_mm(vent.width, scale),
        height=in_mm(vent.height, scale),
        from_apex=in_mm(vent.from_apex, scale),
    )
