"""Films and photographs on disk, each under the hash of its content."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

from features.input_file import BadInput
from features.radiograph import Radiograph
from identify.database import DATA_VARIABLE
from identify.kept_film import KeptFilm, opened

FOLDER = "films"
PICTURE, FACTS = ".png", ".json"


class FilmStore:
    """Content-addressed files: what is there is never written again, what is new appears whole."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / FOLDER

    def put(self, film: KeptFilm) -> str:
        """Keep a film and return its name."""
        name = film.sha256
        # the picture last: a film counts as there once its picture is
        self._write(f"{name}{FACTS}", film.facts_json.encode())
        self._write(f"{name}{PICTURE}", film.png)
        return name

    def get(self, name: str) -> Radiograph:
        """Open a kept film.

        Raises
        ------
        BadInput
            It is missing, damaged, or not what its name says.
        """
        kept = self.raw(name)
        if kept.sha256 != name:
            raise BadInput(f"{self._path(name)}: the kept film was changed; restore a backup.")
        return opened(kept, str(self._path(name)))

    def raw(self, name: str) -> KeptFilm:
        """Return a kept film as its bytes."""
        path = self._path(name)
        try:
            png, facts = path.read_bytes(), path.with_suffix(FACTS).read_text(encoding="utf-8")
        except OSError as error:
            raise BadInput(
                f"{path}: the kept film cannot be read ({error.strerror}); restore a backup."
            ) from None
        return KeptFilm.from_parts(png, facts, str(path))

    def put_photo(self, jpeg: bytes) -> str:
        """Keep a photograph whose metadata has been taken off, and return its name."""
        name = hashlib.sha256(jpeg).hexdigest() + ".jpg"
        self._write(name, jpeg)
        return name

    def photo(self, name: str) -> bytes:
        """Return a kept photograph."""
        try:
            return (self.folder / Path(name).name).read_bytes()
        except OSError as error:
            raise BadInput(
                f"{name}: the kept photograph cannot be read ({error.strerror}); restore a backup."
            ) from None

    def names(self) -> frozenset[str]:
        """All that is kept."""
        if not self.folder.is_dir():
            return frozenset()
        films = {path.stem for path in self.folder.glob(f"*{PICTURE}")}
        return frozenset(films | {path.name for path in self.folder.glob("*.jpg")})

    def remove(self, name: str) -> None:
        """Delete a film or photograph for good."""
        if name.endswith(".jpg"):
            (self.folder / name).unlink(missing_ok=True)
            return
        for ending in (PICTURE, FACTS):
            (self.folder / f"{name}{ending}").unlink(missing_ok=True)

    def _path(self, name: str) -> Path:
        return self.folder / f"{Path(name).name}{PICTURE}"

    def _write(self, name: str, data: bytes) -> None:
        path = self.folder / name
        if path.exists():
            return
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            _write_whole(path, data)
        except OSError as error:
            raise BadInput(
                f"{path}: cannot be written ({error.strerror}); free the disk or name another "
                f"folder in {DATA_VARIABLE}. Nothing was lost."
            ) from None


def _write_whole(path: Path, data: bytes) -> None:
    # written beside and renamed: a killed program leaves no half film under a film's name
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=".new-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).replace(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
