"""README and the command line agree."""

import re
from pathlib import Path

import pytest
import typer

from identify.cli import app

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"


def commands():
    """Every command as it is typed, ``notes check`` included, with its options."""
    top = typer.main.get_command(app)
    for name, command in top.commands.items():
        inner = getattr(command, "commands", None)
        if inner is None:
            yield name, command
        else:
            yield from ((f"{name} {below}", one) for below, one in inner.items())


COMMANDS = dict(commands())


def readme_commands(text):
    """What follows ``radiofixture`` where README shows a command: in code, at a word's end."""
    code = re.findall(r"```.*?```|`[^`\n]+`", text, flags=re.DOTALL)
    return [
        tuple(words.split())
        for piece in code
        for words in re.findall(r"\bradiofixture ((?:[a-z][a-z-]*)(?: [a-z][a-z-]*)?)", piece)
    ]


def is_known(words):
    return " ".join(words) in COMMANDS or words[0] in COMMANDS


def readme():
    if not README.exists():
        pytest.skip("README.md is not written yet")
    return README.read_text(encoding="utf-8")


def test_every_command_in_the_readme_exists():
    assert [words for words in readme_commands(readme()) if not is_known(words)] == []


def test_every_command_is_named_in_the_readme():
    named = {" ".join(words[:n]) for words in readme_commands(readme()) for n in (1, 2)}
    assert sorted(set(COMMANDS) - named) == []


def test_every_option_shown_with_a_command_exists():
    for line in re.findall(r"radiofixture [a-z].*", readme()):
        words = re.findall(r"[a-z][a-z-]*", line.removeprefix("radiofixture "))
        name = next((" ".join(words[:n]) for n in (2, 1) if " ".join(words[:n]) in COMMANDS), None)
        known = {option for one in COMMANDS[name].params for option in one.opts} if name else set()
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]*", line.split("`")[0]):
            assert name is None or option in known | {"--help"}, line


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_and_option_has_a_help_sentence(name):
    assert COMMANDS[name].help
    assert COMMANDS[name].help.strip().endswith(".")
    for parameter in COMMANDS[name].params:
        assert parameter.help, parameter.name


def test_the_guard_reads_commands_in_blocks_and_in_line():
    text = "run `radiofixture read FILM --marks M`\n```\n.venv/bin/radiofixture notes check\n```\n"
    assert readme_commands(text) == [("read",), ("notes", "check")]
    assert not is_known(("reed",))
