"""A simulated film photographed from a screen, its truth and marks moved to the photograph."""

from __future__ import annotations

import zlib
from typing import Any

import numpy as np

from sample_images.hand import click
from sample_images.phone_photo import Photo, draw_photo, photograph
from sample_images.simulated import Simulated


def photographed(film: Simulated) -> Simulated:
    """Photograph a film; the marks are placed anew, by a hand that sees only the photograph.

    The scale of a photograph in perspective differs from place to place: `mm_per_px` becomes that
    at the middle of the implant, half way from the platform to the apex.
    """
    shape, rng = film.pixels.shape[:2], np.random.default_rng([*_key(film)])
    photo = draw_photo((shape[0], shape[1]), rng)
    points = {
        name: _moved(points, photo) if points else points
        for name, points in film.truth["points_px"].items()
    }
    truth = film.truth | {
        "points_px": points,
        "film": {"width": photo.shape[1], "height": photo.shape[0]},
        "mm_per_px": _mm_per_px(film.truth, photo),
        "mm_per_px_is": "local, at the middle of the implant",
        "photo": photo.to_json(),
    }
    pixels = photograph(film.pixels, photo, rng)
    return Simulated(pixels, truth, _marks(film, points, photo, rng))


def _key(film: Simulated) -> tuple[int, int]:
    return film.truth["seed"], zlib.crc32(f"photo of {film.stem}".encode())


def _moved(points: Any, photo: Photo) -> Any:
    """Move a point, or any nesting of points."""
    if isinstance(points, dict):
        return {name: _moved(each, photo) for name, each in points.items()}
    if isinstance(points[0], list | tuple):
        return [_moved(point, photo) for point in points]
    return photo.point(points)


def _mm_per_px(truth: dict[str, Any], photo: Photo) -> float:
    (left, right), apex = truth["points_px"]["platform"], truth["points_px"]["apex"]
    middle = [(left[k] + right[k]) / 4 + apex[k] / 2 for k in (0, 1)]
    return float(truth["mm_per_px"] / photo.enlargement(middle))


def _marks(
    film: Simulated, points: dict[str, Any], photo: Photo, rng: np.random.Generator
) -> dict[str, Any]:
    marks, scale = film.marks, dict(film.marks["scale"])
    if "ends_px" in scale:
        scale["ends_px"] = [click(end, photo.shape, rng) for end in points[scale["kind"]]]
    if scale["kind"] in ("pixel", "dicom"):
        scale = {"kind": "none"}  # a receptor's pixel size says nothing of a photograph
    implant = marks["implants"][0] | {
        "platform_px": [click(end, photo.shape, rng) for end in points["platform"]],
        "apex_px": click(points["apex"], photo.shape, rng),
    }
    return marks | {"scale": scale, "implants": [implant]}
