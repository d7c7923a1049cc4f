"""Files of a simulated film: the picture in one of several formats, its marks and its truth.

Each file is written under another name and then renamed, the truth last: a run that is broken off
leaves no half file, and a film whose truth is there is whole.
"""

from __future__ import annotations

import io
import json
import os
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pydicom
from PIL import Image

from sample_images.dicom_file import Geometry, Style, dicom_bytes
from sample_images.phone_film import photographed
from sample_images.phone_photo import jpeg_bytes
from sample_images.simulated import Pixels, Simulated

ENDINGS = {"png16": ".png", "png8": ".png", "jpeg": ".jpg", "dicom": ".dcm", "phone": ".jpg"}
KINDS = tuple(ENDINGS)
JPEG_QUALITY = 90  # where the film's own software did not squeeze it already: common practice


def write(simulated: Simulated, folder: Path, kind: str = "png16") -> str:
    """Write picture, STEM.marks.json and STEM.truth.json; the same film gives the same bytes.

    Parameters
    ----------
    kind : str
        "png16" or "png8" (grey, STEM.png), "jpeg" (grey, STEM.jpg), "dicom" (STEM.dcm), or "phone"
        (STEM.jpg in colour: the film photographed from a screen, its points moved along).

    Returns
    -------
    STEM
    """
    if kind not in ENDINGS:
        raise ValueError(f"'kind' must be one of {', '.join(KINDS)} (got '{kind}').")
    folder.mkdir(parents=True, exist_ok=True)
    film = photographed(simulated) if kind == "phone" else simulated
    data, told = encoded(film, kind)
    film = replace(film, truth=film.truth | {"file": told})
    _put(folder / f"{film.stem}{ENDINGS[kind]}", data)
    for name in ("marks", "truth"):
        text = json.dumps(getattr(film, name), indent=1, allow_nan=False)
        _put(folder / f"{film.stem}.{name}.json", f"{text}\n".encode())
    return film.stem


def encoded(film: Simulated, kind: str) -> tuple[bytes, dict[str, Any]]:
    """Picture's bytes in this format, and what the truth says of it."""
    told: dict[str, Any] = {"kind": kind, "bits": 16 if kind == "png16" else 8}
    if kind == "dicom":
        style = _style(film)
        told |= {name: getattr(style, name) for name in style.__slots__}
        return dicom_bytes(film.pixels, film.stem, _geometry(film), film.truth, style), told
    if kind == "phone":
        told["quality"] = film.truth["photo"]["quality"]
        return jpeg_bytes(film.pixels, told["quality"]), told
    if kind == "jpeg":
        told["quality"] = film.truth["tone"].get("jpeg") or JPEG_QUALITY
        return jpeg_bytes(_narrow(film.pixels), told["quality"]), told
    return _png_bytes(film.pixels if kind == "png16" else _narrow(film.pixels)), told


def is_complete(folder: Path, stem: str, kind: str, asked: dict[str, Any]) -> bool:
    """Whether all three files are there, can be read, and answer to what is asked for now."""
    try:
        truth = json.loads((folder / f"{stem}.truth.json").read_text(encoding="utf-8"))
        json.loads((folder / f"{stem}.marks.json").read_text(encoding="utf-8"))
        _open(folder / f"{stem}{ENDINGS[kind]}")
    except (OSError, ValueError, pydicom.errors.InvalidDicomError):
        return False
    return bool(truth.get("asked") == asked and truth.get("file", {}).get("kind") == kind)


def _open(path: Path) -> None:
    if path.suffix == ".dcm":
        pydicom.dcmread(path).pixel_array  # noqa: B018 - decoding is the test
        return
    with Image.open(path) as image:
        image.load()


def _put(path: Path, data: bytes) -> None:
    """Write a file that is either whole or not there."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        part.write_bytes(data)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def _png_bytes(pixels: Pixels) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "PNG", optimize=True)
    return buffer.getvalue()


def _narrow(pixels: Pixels) -> Pixels:
    return np.round(pixels / 257).astype(np.uint8)


def _geometry(film: Simulated) -> Geometry:
    told = film.truth["geometry"]
    return Geometry(told["source_mm"], told["receptor_mm"], film.truth["mm_per_px"])


def _style(film: Simulated) -> Style:
    """Draw how this film's file says it: by its name alone, so that it stays the same."""
    rng = np.random.default_rng([film.truth["seed"], zlib.crc32(film.stem.encode())])
    return Style(
        bits=int(rng.choice([12, 16])),
        photometric=str(rng.choice(["MONOCHROME1", "MONOCHROME2"])),
        calibrated=bool(rng.random() < 0.5),
    )
