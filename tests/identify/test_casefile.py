"""A case can be handed on: out, deleted, in again, and it is the same."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile

import numpy as np
import pytest
from PIL import Image
from pydicom.datadict import DicomDictionary

from features.film import read_film_file
from features.input_file import BadInput
from identify.casebook import Casebook
from identify.casefile import export_case, import_case
from identify.kept_case import FilmWork, KeptCase, Photo
from identify.kept_film import keep, keepable
from tests.features.dicom_files import PATIENT, as_bytes, dataset, ramp
from tests.identify.kept_cases import DRAFT, started, unfilmed_case


@pytest.fixture
def book(tmp_path):
    return Casebook(tmp_path)


def test_export_delete_import_export_gives_the_same_bytes(book):
    first = started(book, pseudonym="ü ç 王")
    book.save(first.key, first.case.model_copy(update={"notes": "n"}), "note", after=1)
    book.note_ranking(first.key, 2, "A", {"p": 0.1 + 0.2}, ["v1"])
    photo = book.films.put_photo(b"\xff\xd8 a photograph")
    shown = first.case.model_copy(update={"photos": (Photo(file=photo, shows="from above"),)})
    book.save(first.key, shown, "photograph", after=2)
    before = export_case(book, first.key)
    film = book.films.get(first.case.films[0].film)
    book.delete(first.key)
    assert not book.films.names()
    assert import_case(book, before) == first.key
    assert export_case(book, first.key) == before
    again = book.films.get(first.case.films[0].film)
    assert (again.pixels == film.pixels).all()
    assert again.spacing == film.spacing


def test_a_case_without_a_film_is_handed_on_like_any_other(book):
    photo = book.films.put_photo(b"\xff\xd8 an old abutment")
    shown = unfilmed_case().model_copy(update={"photos": (Photo(file=photo, shows="a part"),)})
    first = book.start(shown)
    before = export_case(book, first.key)
    book.delete(first.key)
    assert not book.films.names()
    assert import_case(book, before) == first.key
    assert export_case(book, first.key) == before
    assert book.load(first.key).case == shown


def test_a_case_with_a_film_is_written_as_before_there_were_others(book):
    entry = json.loads(unzipped(export_case(book, started(book).key))["case.json"])
    assert "unfilmed" not in entry["steps"][0]["state"]


def test_a_case_that_is_there_already_is_not_overwritten(book):
    data = export_case(book, started(book).key)
    with pytest.raises(BadInput, match="in the casebook already"):
        import_case(book, data)


# Value representations that can say who somebody is. Codes (CS) and numbers are left out: they
# steer the decoding. All of DICOM PS3.15 2024e, table E.1-1, of these kinds is among them.
TELLING = {
    **dict.fromkeys(("LO", "LT", "ST", "UT", "UC", "PN"), "Musterfrau {}"),
    **dict.fromkeys(("SH", "AE"), "Erika {}"),
    "UI": "1.2.826.4711.{}",
    "UR": "https://musterfrau/{}",
}

GROUPS_OF_THE_FILE_ITSELF = (0x0000, 0x0002)


def test_no_text_a_dicom_file_can_carry_reaches_the_export(book):
    telling = {
        entry[4]: TELLING[entry[0]].format(number)
        for number, (tag, entry) in enumerate(DicomDictionary.items(), 1001)
        if entry[0] in TELLING and entry[4] not in {"", "SOPClassUID"}
        if tag >> 16 not in GROUPS_OF_THE_FILE_ITSELF
    }
    assert {"PatientName", "AccessionNumber", "InstitutionName", "StationName"} <= telling.keys()
    made = dataset(ramp(), **PATIENT | telling)
    made.add_new((0x0009, 0x0010), "LO", "PRIVATE MUSTERFRAU")
    made.add_new((0x0009, 0x1001), "LO", "private Musterfrau")
    data = everything_in(exported(book, as_bytes(made)))
    for secret in (*PATIENT.values(), *telling.values(), "MUSTERFRAU", "Musterfrau"):
        assert secret.encode() not in data, secret


def test_no_exif_entry_reaches_the_export(book):
    photo = Image.fromarray((np.arange(64 * 48) % 251).astype(np.uint8).reshape(48, 64))
    exif = Image.Exif()
    exif[0x013B] = "Musterfrau"  # Artist
    exif[0x010E] = "Musterfrau, tooth 36"  # ImageDescription
    store = io.BytesIO()
    photo.save(store, "JPEG", exif=exif, comment=b"Musterfrau")
    assert b"Musterfrau" in store.getvalue()
    assert b"Musterfrau" not in everything_in(exported(book, store.getvalue()))


def exported(book: Casebook, raw: bytes) -> bytes:
    film = keepable(read_film_file(raw, "Musterfrau_Erika.dcm"))
    work = FilmWork(film=book.films.put(keep(film)), draft=DRAFT)
    return export_case(book, book.start(KeptCase(films=(work,))).key)


def unzipped(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def everything_in(data: bytes) -> bytes:
    return data + b"".join(unzipped(data).values())


@pytest.mark.parametrize("harm", ["changed", "missing", "cut", "no zip", "history"])
def test_a_damaged_export_is_refused_whole(book, harm):
    key = started(book).key
    data = export_case(book, key)
    book.delete(key)
    with pytest.raises(BadInput, match="export the case again"):
        import_case(book, harmed(data, harm))
    assert not book.find()
    assert not book.films.names()


def harmed(data: bytes, harm: str) -> bytes:
    if harm == "cut":
        return data[: len(data) // 2]
    if harm == "no zip":
        return b"hello"
    files = unzipped(data)
    film = next(name for name in files if name.endswith(".png"))
    if harm == "changed":
        files[film] += b"x"
    elif harm == "missing":
        del files[film]
    else:
        entry = json.loads(files["case.json"])
        entry["steps"][0]["number"] = 2
        files["case.json"] = json.dumps(entry).encode()
        stated = json.loads(files["contents.json"])
        stated["case.json"] = hashlib.sha256(files["case.json"]).hexdigest()
        files["contents.json"] = json.dumps(stated).encode()
    store = io.BytesIO()
    with zipfile.ZipFile(store, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return store.getvalue()
