"""A film as the casebook keeps it: pixels and spacing, and nothing that says whose they are.

DICOM PS3.15 (Annex E, Basic Application Level Confidentiality Profile) lists what to remove. Here
it is the other way round: a new file is written from the pixels and five facts about the picture,
so that no attribute, EXIF entry, overlay, private tag or file name has a way in.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass, replace
from typing import Any

import cv2
import numpy as np

from features.input_file import BadInput, StrictModel, check
from features.radiograph import Plane, Radiograph, Spacing

WHITE = 65535  # 16 bits: finer than any dental sensor's grey levels
QUICK = [int(cv2.IMWRITE_PNG_COMPRESSION), 1]


class KeptSpacing(StrictModel):
    """`features.radiograph.Spacing`, field by field."""

    mm_per_px: float
    plane: Plane
    calibration: str | None = None
    magnification: float | None = None
    sentence: str = ""


class FilmFacts(StrictModel):
    """All that is kept beside the pixels."""

    film_sha256: str
    bits: int
    notes: tuple[str, ...] = ()
    spacing: KeptSpacing | None = None


@dataclass(frozen=True, slots=True)
class KeptFilm:
    """A 16-bit PNG without any text in it, and the facts."""

    png: bytes
    facts: FilmFacts

    @property
    def sha256(self) -> str:
        """Content hash: pixels and facts, so that a film turned by hand is another one."""
        return hashlib.sha256(self.png + self.facts_json.encode()).hexdigest()

    @classmethod
    def from_parts(cls, png: bytes, facts_json: str, called: str) -> KeptFilm:
        """Put a film together from its two files.

        Raises
        ------
        BadInput
            The facts are damaged.
        """
        return cls(png, check(FilmFacts, _parsed(facts_json, called), called))

    @property
    def facts_json(self) -> str:
        """The facts as written to disk; the same facts give the same bytes."""
        return json.dumps(self.facts.model_dump(), ensure_ascii=False, sort_keys=True, indent=1)


def keepable(film: Radiograph) -> Radiograph:
    """Round the pixels to what will be kept, so that numbers are the same before and after.

    A change of at most 1/131070 of the grey range: under a fifteenth of a 12-bit level.
    """
    pixels = (_grey16(film) / WHITE).astype(np.float32)
    pixels.setflags(write=False)
    return replace(film, pixels=pixels)


def keep(film: Radiograph) -> KeptFilm:
    """Write a film as it is kept."""
    done, png = cv2.imencode(".png", _grey16(film), QUICK)
    assert done  # a 2-D uint16 array can always be written
    spacing = film.spacing and KeptSpacing(**asdict(film.spacing))
    facts = FilmFacts(
        film_sha256=film.sha256, bits=film.bits, notes=film.notes, spacing=spacing or None
    )
    return KeptFilm(png.tobytes(), facts)


def opened(kept: KeptFilm, called: str) -> Radiograph:
    """Read a kept film back.

    Raises
    ------
    BadInput
        The picture is damaged.
    """
    png, facts = kept.png, kept.facts
    grey = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_UNCHANGED) if png else None
    if grey is None or grey.ndim != 2 or grey.dtype != np.uint16:
        raise BadInput(f"{called}: the kept film is damaged; put it back from a backup.")
    pixels = (grey / WHITE).astype(np.float32)
    pixels.setflags(write=False)
    spacing = facts.spacing and Spacing(**facts.spacing.model_dump())
    return Radiograph(pixels, facts.film_sha256, facts.bits, facts.notes, spacing or None)


def _grey16(film: Radiograph) -> np.ndarray[Any, np.dtype[np.uint16]]:
    return np.rint(film.pixels.astype(np.float64) * WHITE).astype(np.uint16)


def _parsed(text: str, called: str) -> Any:
    try:
        return json.loads(text)
    except ValueError:
        raise BadInput(f"{called}: its facts are damaged; put it back from a backup.") from None
