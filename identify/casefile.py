"""A case as one file to hand on or put away (`casefile/1`): a zip anyone can open.

``case.json``       key, steps (the whole history) and rankings
``films/NAME.png``  16-bit pictures, with ``films/NAME.json`` beside each
``photos/NAME.jpg`` photographs
``contents.json``   SHA-256 of every other entry

The same case gives the same bytes: entries are sorted, undated, and not compressed twice.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from typing import Any

from pydantic import Field

from features.input_file import BadInput, StrictModel, check
from identify.casebook import Casebook
from identify.film_store import FACTS, PICTURE
from identify.kept_case import KeptCase
from identify.kept_film import KeptFilm

FORMAT = "casefile/1"
UNDATED = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can state
LARGEST_BYTES = 1024**3  # unpacked; a case is some ten MB


class KeptStep(StrictModel):
    """A step of the history."""

    number: int = Field(ge=1)
    at: str
    what: str
    state: KeptCase


class KeptRanking(StrictModel):
    """A ranking, the step it was made after, and the versions it came from."""

    step: int
    label: str
    ranking: Mapping[str, Any]
    versions: tuple[str, ...]


class CaseEntry(StrictModel):
    """``case.json``."""

    radiofixture: str = Field(pattern=f"^{FORMAT}$")
    key: str = Field(pattern=r"^[0-9a-f]{32}$")
    steps: tuple[KeptStep, ...] = Field(min_length=1)
    rankings: tuple[KeptRanking, ...] = ()


def export_case(book: Casebook, key: str) -> bytes:
    """Write a case with its films as a zip."""
    steps = book.steps_json(key)
    entry = {
        "radiofixture": FORMAT,
        "key": key,
        "steps": steps,
        "rankings": list(book.rankings(key)),
    }
    files = {"case.json": _json(entry)}
    for name in _files_of(check(CaseEntry, entry, f"case {key}")):
        files |= _as_entries(book, name)
    files["contents.json"] = _json({name: _hash(data) for name, data in files.items()})
    return _zipped(files)


def import_case(book: Casebook, data: bytes, called: str = "this file") -> str:
    """Put an exported case into the book; whole or not at all.

    Returns
    -------
    str
        Its key.

    Raises
    ------
    BadInput
        Not such a zip, damaged, or the case is there already.
    """
    files = _unzipped(data, called)
    entry = check(CaseEntry, _parsed(files, "case.json", called), f"{called}, case.json")
    if book.holds(entry.key):
        raise BadInput(
            f"{called}: this case is in the casebook already; delete it there first if the file "
            "is to take its place."
        )
    _check_history(entry, called)
    films = [_film(files, name, called) for name in _files_of(entry) if not name.endswith(".jpg")]
    photos = [_entry(files, f"photos/{n}", called) for n in _files_of(entry) if n.endswith(".jpg")]
    for film in films:
        book.films.put(film)
    for photo in photos:
        book.films.put_photo(photo)
    plain = entry.model_dump(mode="json")
    book.take_in(entry.key, plain["steps"], plain["rankings"])
    return entry.key


def _files_of(entry: CaseEntry) -> list[str]:
    return sorted(frozenset().union(*(step.state.files for step in entry.steps)))


def _as_entries(book: Casebook, name: str) -> dict[str, bytes]:
    if name.endswith(".jpg"):
        return {f"photos/{name}": book.films.photo(name)}
    kept = book.films.raw(name)
    return {
        f"films/{name}{FACTS}": kept.facts_json.encode(),
        f"films/{name}{PICTURE}": kept.png,
    }


def _film(files: Mapping[str, bytes], name: str, called: str) -> KeptFilm:
    png = _entry(files, f"films/{name}{PICTURE}", called)
    facts = _entry(files, f"films/{name}{FACTS}", called).decode("utf-8", "replace")
    kept = KeptFilm.from_parts(png, facts, called)
    if kept.sha256 != name:
        raise BadInput(f"{called}: the film {name[:12]}… is not what its name says; export again.")
    return kept


def _check_history(entry: CaseEntry, called: str) -> None:
    numbers = [step.number for step in entry.steps]
    if numbers != list(range(1, len(numbers) + 1)):
        raise BadInput(f"{called}: steps of the history are missing; export the case again.")


def _zipped(files: Mapping[str, bytes]) -> bytes:
    store = io.BytesIO()
    with zipfile.ZipFile(store, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            packing = zipfile.ZIP_DEFLATED if name.endswith(".json") else zipfile.ZIP_STORED
            archive.writestr(zipfile.ZipInfo(name, UNDATED), files[name], packing)
    return store.getvalue()


def _unzipped(data: bytes, called: str) -> dict[str, bytes]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(info.file_size for info in archive.infolist()) > LARGEST_BYTES:
                raise BadInput(f"{called}: larger than 1 GB unpacked; this is no exported case.")
            files = {info.filename: archive.read(info) for info in archive.infolist()}
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError):
        raise BadInput(f"{called}: no zip, or a damaged one; export the case again.") from None
    stated = _parsed(files, "contents.json", called)
    for name, data_in in files.items():
        if name != "contents.json" and stated.get(name) != _hash(data_in):
            raise BadInput(f"{called}: '{name}' was changed or damaged; export the case again.")
    return files


def _entry(files: Mapping[str, bytes], name: str, called: str) -> bytes:
    if name not in files:
        raise BadInput(f"{called}: '{name}' is missing in it; export the case again.")
    return files[name]


def _parsed(files: Mapping[str, bytes], name: str, called: str) -> Any:
    try:
        found = json.loads(_entry(files, name, called))
    except ValueError:
        raise BadInput(f"{called}: '{name}' is no JSON; export the case again.") from None
    if not isinstance(found, dict):
        raise BadInput(f"{called}: '{name}' holds no entries; export the case again.")
    return found


def _json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, sort_keys=True, indent=1, allow_nan=False).encode()


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
