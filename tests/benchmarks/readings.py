"""Films read once for all benchmarks of the weighing, kept by what the measuring code says."""

from __future__ import annotations

import hashlib
import json
import pickle  # only ever our own cache
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from features.film import read_film_file
from features.marks import check_marks
from features.reading import Reading, read_film
from sample_images.film_set import Order, make

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Case:
    """One film: its truth, and how it was read."""

    stem: str
    family: str
    group: str | None
    seated: str
    reading: Reading

    @property
    def covered(self) -> bool:
        """Whether something stands on the implant."""
        return self.seated != "nothing"


def code_mark() -> str:
    """Name the measuring code by its text, so that a changed one reads the films anew."""
    digest = hashlib.sha256()
    for path in sorted((ROOT / "features").glob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def is_drawn(order: Order, folder: Path) -> bool:
    """Whether all files of a film are there; however it was asked for."""
    return all((folder / f"{order.stem}{end}").exists() for end in (".png", ".truth.json"))


def read_case(order: Order, folder: Path, scale: str, *, drawn: bool) -> Case:
    """Draw a film unless it is there (or `drawn` says to take it as it is), and read it."""
    if not drawn:
        make(order, folder)
    kept = folder / f"read-{code_mark()}-{scale}" / f"{order.stem}.pickle"
    if not kept.exists():
        kept.parent.mkdir(exist_ok=True)
        partly = kept.with_suffix(".part")
        partly.write_bytes(pickle.dumps(_read(order, folder, scale)))
        partly.rename(kept)
    truth = _json(folder / f"{order.stem}.truth.json")
    reading = pickle.loads(kept.read_bytes())  # noqa: S301 - written above
    return Case(order.stem, truth["family"], truth["group"], truth["seated"], reading)


def _read(order: Order, folder: Path, scale: str) -> Reading:
    film = read_film_file(folder / f"{order.stem}.png")
    marks = _json(folder / f"{order.stem}.marks.json")
    if scale == "none":  # the same film, its known length left out
        marks["scale"] = {"kind": "none"}
    reading = read_film(film, check_marks(marks, width=film.width, height=film.height))
    light = tuple(replace(implant, traces=()) for implant in reading.implants)
    return replace(reading, implants=light)


def _json(path: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data
