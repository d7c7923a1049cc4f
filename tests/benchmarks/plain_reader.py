"""What ordinary scikit-image calls read off the same film: the comparator of `accuracy.py`.

Otsu's threshold, the largest region at the marks, its smallest rectangle, widths of rows, the peak
of a Fourier transform along the wall; the scale is the marked length as clicked. No uncertainty.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from skimage import filters, measure, transform

MARGIN = 0.6  # of the length, looked at around the marks


def read_plainly(pixels: np.ndarray, marks: dict[str, Any]) -> dict[str, float]:
    """Lengths in mm by their usual keys; what could not be had is left out."""
    implant, scale = marks["implants"][0], marks["scale"]
    if "ends_px" not in scale:
        return {}
    mm_per_px = scale["size_mm"] / math.dist(*scale["ends_px"])
    body = _body(pixels, implant)
    if body is None:
        return {}
    rows = np.flatnonzero(body.sum(axis=1) > 0)
    length = len(rows)
    widths = body.sum(axis=1)[rows]

    def at(share: float) -> float:
        near = widths[int(max(share - 0.04, 0) * length) : max(int((share + 0.04) * length), 1)]
        return float(np.max(near)) * mm_per_px

    found = {
        "length_mm": length * mm_per_px,
        "platform_width_mm": float(np.median(widths[2 : max(int(0.04 * length), 4)])) * mm_per_px,
        "coronal_width_mm": at(0.25),
        "apical_width_mm": at(0.75),
    }
    found["taper_deg"] = math.degrees(
        math.atan((found["coronal_width_mm"] - found["apical_width_mm"]) / found["length_mm"])
    )
    return found | _pitch(body, rows, mm_per_px)


def _body(pixels: np.ndarray, implant: dict[str, Any]) -> np.ndarray | None:
    """The thresholded body, upright, from the marked platform down."""
    (x1, y1), (x2, y2) = implant["platform_px"]
    top, apex = ((x1 + x2) / 2, (y1 + y2) / 2), implant["apex_px"]
    length, turn = math.dist(top, apex), math.atan2(apex[0] - top[0], apex[1] - top[1])
    half = math.dist((x1, y1), (x2, y2))
    shape = (int(length * (1 + MARGIN / 4)), int(2 * half))
    upright = transform.SimilarityTransform(rotation=-turn)
    place = transform.SimilarityTransform(translation=(-half, 0)) + upright
    place = place + transform.SimilarityTransform(translation=top)
    window = transform.warp(pixels.astype(float), place, output_shape=shape)
    labels = measure.label(window > filters.threshold_otsu(window))
    label = labels[shape[0] // 3, shape[1] // 2]
    if label == 0:
        return None
    return np.asarray(labels == label)


def _pitch(body: np.ndarray, rows: np.ndarray, mm_per_px: float) -> dict[str, float]:
    """The strongest period of the right wall between one and twenty-five pixels in a hundred."""
    wall = body.shape[1] - body[rows, ::-1].argmax(axis=1)
    middle = wall[int(0.15 * len(wall)) : int(0.85 * len(wall))].astype(float)
    if len(middle) < 40:
        return {}
    place = np.arange(len(middle))
    middle = middle - np.polyval(np.polyfit(place, middle, 2), place)
    power = np.abs(np.fft.rfft(middle * np.hanning(len(middle)))) ** 2
    power[: max(int(len(middle) * mm_per_px / 1.6), 2)] = 0
    return {"thread_pitch_mm": len(middle) / max(int(power.argmax()), 1) * mm_per_px}
