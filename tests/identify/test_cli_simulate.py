"""`radiofixture simulate`: which films are asked for, what shows where, what failure looks like."""

import json
import sys

import pytest

from features.input_file import BadInput
from identify.cli import run
from identify.cli_simulate import FilmOrder, draw_films, plain_facts
from identify.knowledge import load_notes
from sample_images import film_set
from sample_images.scene import FAMILIES, NO_IMPLANT, STRANGERS
from sample_images.simulate import describe


@pytest.fixture
def ordered(monkeypatch):
    """Orders that reach the renderer, which draws nothing here."""
    seen = []
    monkeypatch.setattr(film_set, "make", lambda order, _: seen.append(order) or True)
    return seen


class Terminal:
    """A standard error that calls itself a terminal."""

    def __init__(self):
        self.text = ""

    def isatty(self):
        return True

    def write(self, text):
        self.text += text

    def flush(self):
        pass


def simulate(tmp_path, *arguments):
    return run(["simulate", "--out", str(tmp_path / "films"), *map(str, arguments)])


def test_a_set_takes_families_in_turn_from_the_seed_on(tmp_path, ordered, capsys):
    assert simulate(tmp_path, "--set", len(FAMILIES) + 1, "--seed", 40, "--level", "hard") == 0
    assert [order.key for order in ordered] == [*FAMILIES, FAMILIES[0]]
    assert [order.seed for order in ordered] == list(range(40, 41 + len(FAMILIES)))
    assert {order.level for order in ordered} == {"hard"}
    assert capsys.readouterr().out.split() == [order.stem for order in ordered]


def test_options_reach_the_renderer(tmp_path, ordered):
    options = ("--as", "dicom", "--scale", "pixel", "--stress")
    assert simulate(tmp_path, "--family", "tri_channel", *options) == 0
    (order,) = ordered
    assert (order.kind, order.wanted.scale, order.wanted.stress) == ("dicom", "pixel", True)
    assert order.detectability


@pytest.mark.parametrize(("word", "keys"), [("strangers", STRANGERS), ("no_implant", NO_IMPLANT)])
def test_strangers_and_films_without_an_implant_come_in_turn(tmp_path, ordered, word, keys):
    assert simulate(tmp_path, "--family", word, "--set", len(keys)) == 0
    assert [order.key for order in ordered] == list(keys)
    assert all(order.facts is None for order in ordered)


def test_the_notes_facts_are_handed_over_as_plain_tables():
    assert plain_facts("stranger-of-no-note") is None
    for key, family in load_notes().families.items():
        facts = plain_facts(key)
        assert set(facts) == set(family.facts)
        for table in facts.values():
            numbers = {"low", "high", "edge"}
            assert set(table) == numbers or sum(table.values()) == pytest.approx(1)
    json.dumps(plain_facts("tri_channel"))


def test_every_family_can_be_drawn_from_its_note_stressed_or_not():
    assert set(FAMILIES) == set(load_notes().families)
    for key in FAMILIES:
        facts = plain_facts(key)
        for seed in range(2):
            plain = describe(key, seed, "clinical", facts)
            stressed = describe(key, seed, "clinical", facts, stress=True)
            assert plain["family"] == stressed["family"] == key
            assert plain["measures"] != stressed["measures"]
            assert plain["asked"]["facts"] == stressed["asked"]["facts"] is not None


def test_the_bar_is_drawn_on_a_terminal_and_never_on_standard_output(
    tmp_path, ordered, capsys, monkeypatch
):
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    assert simulate(tmp_path, "--set", 3) == 0
    assert "100%" in terminal.text
    assert capsys.readouterr().out.split() == [order.stem for order in ordered]


@pytest.mark.parametrize("arguments", [("--set", "3", "--json", "-"), ("--set", "1")])
def test_no_bar_beside_json_or_for_one_film(tmp_path, ordered, monkeypatch, arguments):
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    assert simulate(tmp_path, *arguments) == 0
    assert ordered
    assert terminal.text == ""


def test_json_stands_alone_on_standard_output(tmp_path, ordered, capsys):
    assert simulate(tmp_path, "--set", 2, "--json", "-") == 0
    out = json.loads(capsys.readouterr().out)
    assert out == {
        "radiofixture": "films/1",
        "films": [order.stem for order in ordered],
        "failed": [],
    }


def test_a_film_that_cannot_be_drawn_does_not_stop_the_others(tmp_path, capsys, monkeypatch):
    def make(order, _):
        if order.seed == 1:
            raise ValueError("its bore does not fit")
        return True

    monkeypatch.setattr(film_set, "make", make)
    assert simulate(tmp_path, "--set", 3, "--json", "-") == 3
    captured = capsys.readouterr()
    data = json.loads(captured.out)
    assert len(data["films"]) == 2
    assert data["failed"][0]["reason"] == "its bore does not fit"
    assert captured.err.startswith("radiofixture: 1 of 3 films could not be drawn")
    assert len(captured.err.splitlines()) == 1


def test_one_film_that_cannot_be_drawn_is_bad_input(tmp_path, monkeypatch):
    def make(*_):
        raise ValueError("its bore does not fit")

    monkeypatch.setattr(film_set, "make", make)
    with pytest.raises(BadInput, match="its bore does not fit"):
        draw_films(FilmOrder("tri_channel", 1, "clean", 1), tmp_path, progress=False)


@pytest.mark.parametrize(
    ("option", "value"), [("--as", "gif"), ("--scale", "ruler"), ("--level", "easy")]
)
def test_an_unknown_choice_is_refused_with_the_known_ones(tmp_path, capsys, option, value):
    assert simulate(tmp_path, "--set", "1", option, value) == 2
    assert f"'{option}' cannot be '{value}'; use one of" in capsys.readouterr().err
