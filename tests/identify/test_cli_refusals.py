"""Bad input: one sentence on standard error, exit 2, nothing on standard output."""

import json

import pytest

from identify import cli
from tests.identify.command import FILM, MARKS, assert_refused, radiofixture, radiofixture_here


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["reed"], "No such command 'reed'"),
        (["read"], "Missing argument 'FILM'"),
        (["read", "film.png", "--mark", "m"], "No such option: --mark"),
        (["weigh"], "Missing argument 'EVIDENCE'"),
        (["simulate"], "Missing option '--out'"),
        (["simulate", "--out", "o"], "give '--family KEY', or '--set N'"),
        (["simulate", "--out", "o", "--set", "0"], "--set"),
        (["simulate", "--out", "o", "--family", "nonsense"], "'--family' cannot be 'nonsense'"),
        (["simulate", "--out", "o", "--set", "1", "--level", "easy"], "clean, clinical, hard"),
        (["notes", "chek"], "No such command 'chek'"),
        (["app", "--port", "99999"], "--port"),
        (["app", "no-such-film.png"], "there is no such film"),
        (["weigh", "no-such.json"], "no such evidence file"),
        (["restore", "no-such.json"], "no such"),
        (["read", "no-such.png", "--marks", "m.json"], "no-such.png"),
    ],
)
def test_a_usage_error_is_one_sentence(arguments, says, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert_refused(radiofixture_here(*arguments), says)


@pytest.mark.parametrize("arguments", [["reed"], ["weigh"], ["weigh", "no-such.json"]])
def test_a_process_refuses_as_the_functions_do(arguments, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done, here = radiofixture(*arguments, cwd=tmp_path), radiofixture_here(*arguments)
    assert_refused(done)
    assert (done.returncode, done.stderr) == (here.returncode, here.stderr)


def test_a_film_without_marks_says_how_to_mark_it():
    assert_refused(radiofixture_here("read", FILM), "'--marks' is missing", "radiofixture app")


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("text.png", b"this is a letter, not a film"),
        ("cut.jpg", b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"),
        ("empty.png", b""),
    ],
)
def test_a_bad_film_is_refused_in_one_sentence(name, content, tmp_path):
    (tmp_path / name).write_bytes(content)
    assert_refused(radiofixture("read", tmp_path / name, "--marks", MARKS), name)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda marks: marks["implants"][0].update(apex_px=[99999, 5]), "outside the film"),
        (lambda marks: marks.update(scale={"kind": "pixel", "mm_per_px": 0.0}), "mm_per_px"),
        (lambda marks: marks.update(implants=[]), "implants"),
        (lambda marks: marks.update(scal={}), "'scal' is not a known entry"),
    ],
)
def test_bad_marks_are_refused_in_one_sentence(change, says, tmp_path):
    marks = json.loads(MARKS.read_text(encoding="utf-8"))
    change(marks)
    path = tmp_path / "marks.json"
    path.write_text(json.dumps(marks), encoding="utf-8")
    assert_refused(radiofixture("read", FILM, "--marks", path), says)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        ("{", "is not JSON"),
        ("[1, 2]", "evidence"),
        ('{"items": {"thread_pich_mm": {"value": 1, "by": "eye"}}}', "did you mean"),
        ('{"items": {"thread_pitch_mm": {"value": 1, "by": "film"}}}', "has no scale"),
        ('{"items": {"thread_pitch_mm": {"value": NaN, "by": "bench"}}}', "thread_pitch_mm"),
    ],
)
def test_bad_evidence_is_refused_in_one_sentence(text, says, tmp_path):
    path = tmp_path / "evidence.json"
    path.write_text(text, encoding="utf-8")
    assert_refused(radiofixture_here("weigh", path), says, str(path))


def test_json_into_a_folder_that_is_not_there_is_refused(tmp_path):
    evidence_file = tmp_path / "evidence.json"
    evidence_file.write_text('{"items": {}}', encoding="utf-8")
    done = radiofixture_here("weigh", evidence_file, "--json", tmp_path / "none" / "out.json")
    assert_refused(done, "cannot be written")


def test_an_answers_file_for_another_implant_is_refused(tmp_path):
    path = tmp_path / "answers.json"
    path.write_text('{"label": "Z", "items": {}}', encoding="utf-8")
    done = radiofixture_here("read", FILM, "--marks", MARKS, "--answers", path)
    assert_refused(done, "'Z'", "label of one implant on this film")


def test_answers_without_a_label_are_refused_where_several_implants_are_marked(tmp_path):
    path = tmp_path / "answers.json"
    path.write_text('{"items": {}}', encoding="utf-8")
    with pytest.raises(ValueError, match=r"label of one implant on this film \(A, B\)"):
        cli._answers([path], ["A", "B"])
