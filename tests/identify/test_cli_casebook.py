"""The casebook from a command line: found, handed on, printed, and deleted only when meant."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import pytest

from features.film import read_film_file
from features.marks import load_marks
from identify.case_facts import way_place
from identify.casebook import Casebook
from identify.cli import run
from identify.kept_case import FilmWork, KeptCase
from identify.kept_film import keep, keepable
from identify.knowledge import load_notes
from identify.plan_words import INDICATIONS, MAKINGS, RETENTIONS
from identify.ranking import NOT_CONFIRMED
from identify.sheet import NO_FILM_SAID
from identify.sheets import kept_plan, kept_sheets
from tests.identify.kept_cases import DRAFT, some_film, unfilmed_case
from tests.identify.printed_pages import text_of

DEMO = Path(__file__).resolve().parents[2] / "sample_images" / "demo"


@pytest.fixture
def book(tmp_path, monkeypatch):
    monkeypatch.setenv("RADIOFIXTURE_DATA", str(tmp_path / "data"))
    return Casebook()


def kept_demo(book):
    path = min(DEMO.glob("*.png"))
    film = keepable(read_film_file(path))
    marks = load_marks(path.with_suffix(".marks.json"), width=film.width, height=film.height)
    draft = marks.model_dump(mode="json", exclude_none=True)
    work = FilmWork(film=book.films.put(keep(film)), name="mine", draft=draft,
                    facts={"Remarks": "a remark of mine"})  # fmt: skip
    return book.start(KeptCase(pseudonym="P 17", films=(work,)))


def test_cases_are_listed_as_json_and_as_lines(book, capsys):
    saved = kept_demo(book)
    assert run(["cases", "list", "--json", "-"]) == 0
    (case,) = json.loads(capsys.readouterr().out)["cases"]
    assert (case["key"], case["pseudonym"]) == (saved.key, "P 17")
    assert run(["cases", "list", "nobody"]) == 0
    assert capsys.readouterr().out == "No case found.\n"


def test_out_deleted_and_in_again(book, tmp_path, capsys):
    saved = kept_demo(book)
    zipped = tmp_path / "case.zip"
    assert run(["cases", "export", saved.key, "--out", str(zipped)]) == 0
    assert run(["cases", "delete", saved.key]) == 2
    assert "add '--yes' if that is meant" in capsys.readouterr().err
    assert run(["cases", "delete", saved.key, "--yes"]) == 0
    assert book.find() == ()
    assert run(["cases", "import", str(zipped)]) == 0
    assert book.load(saved.key).case == saved.case


def test_the_record_is_the_same_from_the_book_and_from_an_export(book, tmp_path, capsys):
    saved = kept_demo(book)
    zipped, one, two = (tmp_path / name for name in ("case.zip", "one.pdf", "two.pdf"))
    run(["cases", "export", saved.key, "--out", str(zipped)])
    for case, out in ((saved.key, one), (str(zipped), two)):
        assert run(["record", case, "--out", str(out)]) == 0
    text = text_of(one.read_bytes())
    assert NOT_CONFIRMED in text
    assert "Remarks: a remark of mine" in text
    assert body_of(text) == body_of(text_of(two.read_bytes()))


def test_the_record_on_the_command_line_carries_the_plan_and_the_way_chosen(book, tmp_path):
    saved = kept_demo(book)
    out, data = tmp_path / "one.pdf", tmp_path / "one.json"
    run(["record", saved.key, "--out", str(out), "--json", str(data)])
    planned = json.loads(data.read_text())["plan"]
    assert planned["options"]
    assert planned["chosen"] == ""
    sheets = read_anew(saved, book)
    chosen = {}
    for way in itertools.product(INDICATIONS, RETENTIONS, MAKINGS):
        work = saved.case.films[0]
        work = work.model_copy(
            update={"facts": {**work.facts, way_place("A", sheets[0].family): " ".join(way)}}
        )
        case = saved.case.model_copy(update={"films": (work,)})
        lines = kept_plan(case, sheets, load_notes())
        chosen |= {lines["chosen"]: lines["parts"]} if lines["chosen"] else {}
    assert chosen
    assert all(len(parts) < len(planned["parts"]) for parts in chosen.values())


def read_anew(saved, book):
    film = book.films.get(saved.case.films[0].film)
    return kept_sheets(film, saved.case, load_notes(), "today", {})


def test_a_case_without_a_film_is_listed_and_printed_with_its_plan(book, tmp_path, capsys):
    saved = book.start(unfilmed_case())
    assert run(["cases", "list"]) == 0
    assert "No film" in capsys.readouterr().out
    out, data = tmp_path / "one.pdf", tmp_path / "one.json"
    assert run(["record", saved.key, "--out", str(out), "--json", str(data)]) == 0
    text = text_of(out.read_bytes())
    assert NO_FILM_SAID in text
    assert NOT_CONFIRMED in text
    assert json.loads(data.read_text())["plan"]["options"]


def evidence_file(tmp_path, **items):
    path = tmp_path / "answers.json"
    path.write_text(json.dumps({"radiofixture": "evidence/1", "items": items}))
    return path


def test_an_evidence_file_of_answers_is_printed_as_a_case_without_a_film(book, tmp_path):
    path = evidence_file(tmp_path, platform_width_mm={"value": 4.1, "by": "bench"})
    assert run(["record", str(path), "--out", str(tmp_path / "r.pdf")]) == 0
    assert "4.1 mm (at the bench)" in text_of((tmp_path / "r.pdf").read_bytes())
    assert book.find() == ()


@pytest.mark.parametrize(
    ("items", "says"),
    [
        ({"threads": {"state": "present", "by": "film"}}, "'threads' was read off a film"),
        ({}, "nothing is answered of this implant yet"),
        ({"index": {"state": "can't tell", "by": "mouth"}}, "nothing is answered"),
    ],
)
def test_what_is_no_case_of_answers_has_no_record(book, tmp_path, capsys, items, says):
    path = evidence_file(tmp_path, **items)
    assert run(["record", str(path), "--out", str(tmp_path / "r.pdf")]) == 2
    assert says in capsys.readouterr().err


def test_a_refuted_case_is_printed_as_not_confirmed(book, tmp_path):
    saved = kept_demo(book)
    title = load_notes().families["ceramic"].title
    work = saved.case.films[0].model_copy(update={"confirmed": {"A": ("trial", title)}})
    for status, stamped in (("trial", False), ("refuted", True)):
        case = saved.case.model_copy(update={"films": (work,), "status": status})
        number = book.load(saved.key).step.number
        book.save(saved.key, case, "confirmed", after=number)
        assert run(["record", saved.key, "--out", str(tmp_path / "r.pdf")]) == 0
        assert (NOT_CONFIRMED in text_of((tmp_path / "r.pdf").read_bytes())) == stamped


def body_of(text):
    """Everything but the time of printing, which may move on between two."""
    return re.sub(r"\d\d:\d\d", "", text.split("Implant A")[1])


def test_a_case_without_marks_has_no_record_and_says_so(book, tmp_path, capsys):
    film = book.films.put(keep(some_film()))
    waiting = ("A:platform_1", "A:platform_2", "A:apex")
    saved = book.start(KeptCase(films=(FilmWork(film=film, draft=DRAFT, pending=waiting),)))
    assert run(["record", saved.key, "--out", str(tmp_path / "r.pdf")]) == 2
    assert "no implant is marked on this film yet" in capsys.readouterr().err


def test_a_backup_is_a_casebook_and_never_overwrites(book, tmp_path, capsys):
    saved = kept_demo(book)
    place = tmp_path / "backup"
    assert run(["cases", "backup", "--out", str(place)]) == 0
    copy = Casebook(place)
    assert copy.load(saved.key).case == saved.case
    copy.films.get(saved.case.films[0].film)
    assert run(["cases", "backup", "--out", str(place)]) == 2
    assert "not empty; name a new folder" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["record", "nothing", "--out", "x.pdf"],
        ["cases", "export", "nothing", "--out", "x.zip"],
        ["cases", "delete", "nothing", "--yes"],
        ["cases", "import", "nothing.zip"],
    ],
)
def test_what_is_not_there_is_one_sentence(book, arguments, capsys):
    assert run(arguments) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
